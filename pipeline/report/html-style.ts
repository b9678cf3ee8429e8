/** The page's style sheet. Greys keep 4.5 : 1 for text in light and dark (WCAG 2.2, 1.4.3); the figure stays white paper. */
export const STYLE = `
:root { color-scheme: light dark; --ground: #ffffff; --text: #1d1d1f; --quiet: #5a5a60; --line: #d6d6da; --link: #0057a3; --mark: #7a1fa2; }
@media (prefers-color-scheme: dark) {
  :root { --ground: #17171a; --text: #ececf0; --quiet: #a9a9b2; --line: #3a3a40; --link: #7db8ff; }
}
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 60rem; padding: 1.5rem clamp(1rem, 4vw, 2.5rem); background: var(--ground); color: var(--text); font: 1rem/1.5 system-ui, sans-serif; }
h1 { font-size: 1.6rem; line-height: 1.2; margin: 0 0 .25rem; overflow-wrap: anywhere; }
h2 { font-size: 1.15rem; margin: 2.25rem 0 .6rem; }
h3 { font-size: 1rem; margin: 0; }
p { margin: .25rem 0; }
.lead { font-size: 1.1rem; }
.sure, .place, footer { color: var(--quiet); }
.place, footer { font-size: .875rem; }
a { color: var(--link); }
:focus-visible { outline: 3px solid var(--link); outline-offset: 2px; }
.views { border: 0; margin: 0 0 .6rem; padding: 0; display: flex; flex-wrap: wrap; gap: .25rem 1.25rem; }
.views legend { float: left; padding: 0; margin-right: 1rem; color: var(--quiet); }
.views label { min-height: 1.75rem; }
.stage { margin: 0; border: 1px solid var(--line); }
.stage svg { display: block; width: 100%; height: auto; max-height: 90vh; background: #ffffff; }
.ground { fill: #ffffff; }
.marks circle { fill: #ffffff; fill-opacity: .35; stroke: var(--mark); stroke-width: 2; vector-effect: non-scaling-stroke; }
.marks a:focus-visible circle { stroke-width: 5; }
section:has(#view-both:checked) .picture { opacity: .55; }
section:has(#view-picture:checked) :is(.pattern, .marks) { display: none; }
section:has(#view-pattern:checked) .picture { display: none; }
.key { list-style: none; margin: .6rem 0 0; padding: 0; display: flex; flex-wrap: wrap; gap: .4rem 1.5rem; }
.sample { width: 4rem; height: 1rem; background: #ffffff; border-radius: 2px; vertical-align: -.15rem; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: .35rem .9rem .35rem 0; border-bottom: 1px solid var(--line); }
th { font-weight: 600; }
.number { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
.ink { display: inline-block; width: 1.4rem; height: .8rem; border: 1px solid var(--quiet); print-color-adjust: exact; }
.doubts { list-style: none; margin: 0; padding: 0; }
.doubts li { display: grid; grid-template-columns: 10rem 1fr; gap: 1rem; padding: .8rem 0; border-bottom: 1px solid var(--line); break-inside: avoid; }
.cut-out { width: 10rem; height: 10rem; background: #ffffff; border: 1px solid var(--line); }
.mark { stroke: var(--mark); stroke-opacity: .75; }
@media (max-width: 30rem) {
  .doubts li { grid-template-columns: 6.5rem 1fr; }
  .cut-out { width: 6.5rem; height: 6.5rem; }
}
@media print {
  :root { --ground: #ffffff; --text: #000000; --quiet: #444444; --line: #bbbbbb; --link: #000000; }
  body { max-width: none; padding: 0; font-size: 10pt; }
  .views { display: none; }
  .stage svg { max-height: 17cm; }
}
`;
