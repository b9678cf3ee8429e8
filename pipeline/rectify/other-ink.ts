/** Borders in ink of the other polarity than the creases: a dark border around light creases on paper of middling light. */
import type { Raster } from '../types.ts';
import { allMarks, type Candidate } from './candidates.ts';
import { sideEvidence, totalScore } from './evidence.ts';
import { inkMap, workingCopy } from './inkmap.ts';
import { findMarks } from './marks.ts';
import { polygonArea } from './polygon.ts';
import { CLOSED, type Found, isClosed, refine } from './refine.ts';

/** Sides along which less than this share is drawn are bare. */
const BARE = 0.3;
/** The border lies this near to the ends of the creases, a share of the size. */
const NEAR_SHARE = 0.03;

/** An outline through the ends of creases, moved to the border that the other ink draws all round; else the same. */
export function borderInOtherInk(found: Found, picture: Raster<Uint8Array>): Found {
  if (found.kinds.some((kind) => kind !== 'hull') || Math.max(...found.evidence.support) > BARE) return found;
  const map = inkMap(workingCopy(picture), found.map.polarity === 'dark-ink' ? 'light-ink' : 'dark-ink');
  if (map.width !== found.map.width || map.height !== found.map.height) return found;
  const marks = findMarks(map, map.noise);
  const all = allMarks({ marks, known: [], onSheet: found.onSheet }, map);
  if (!all) return found;
  const kinds = found.kinds.map(() => 'ink' as const);
  const candidate: Candidate = {
    sides: found.sides,
    kinds,
    network: all,
    all,
    marks,
    map,
    quick: 1,
    mass: 1,
    reserved: false,
    looseness: 0,
    onSheet: found.onSheet,
  };
  const border = refine([candidate], NEAR_SHARE * Math.sqrt(Math.abs(polygonArea(found.corners))));
  if (!border) return found;
  const evidence = { ...found.evidence, support: border.evidence.support };
  if (!isClosed(evidence)) return found;
  const worth = (of: Pick<Found, 'evidence' | 'kinds' | 'sides'>): number =>
    totalScore(of.evidence, sideEvidence(of.evidence, of.kinds, of.sides), 1);
  const gain = worth({ ...border, evidence }) - worth(found) + CLOSED;
  return { ...found, corners: border.corners, sides: border.sides, kinds, evidence, score: found.score + gain };
}
