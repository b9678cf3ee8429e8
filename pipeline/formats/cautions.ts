/** For every file that may steer a machine with a blade, a wheel or a beam. */
export const CAUTIONS: readonly string[] = [
  "Cutting, scoring and laser engraving can injure people and start fires: follow the machine maker's instructions and your local rules.",
  'Stay with the machine while it runs, keep hands clear of blades, wear eye protection, and never use a laser without extraction and a fire extinguisher at hand.',
  'Check that the material is safe to cut (some plastics give off poisonous gas), check the scale on a scrap, and assign power, speed and depth to each layer yourself.',
];
