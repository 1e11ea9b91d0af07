/** For the tests of this room: the invented demo setups, changed as a test needs them. */

import { demoSetups, type Light, type Modifier, type Setup } from "../setup/index.ts";

/** The choir's four-light setup. */
export function choir(): Setup {
  const found = demoSetups().find(({ title }) => title === "Choir headshots");
  if (!found) throw new RangeError("the demo book has no choir");
  return found;
}

/** A setup with one light changed. */
export const withLight = (setup: Setup, tag: string, set: Partial<Light>): Setup => ({
  ...setup,
  lights: setup.lights.map((light) => (light.tag === tag ? { ...light, ...set } : light)),
});

export function lightOf(setup: Setup, tag: string): Light {
  const found = setup.lights.find((light) => light.tag === tag);
  if (!found) throw new RangeError(`no light ${tag}`);
  return found;
}

const black = { ceiling: 0, floor: 0, left: 0, right: 0, back: 0, front: 0 };

/**
 * One light on an object in a black room: 500 W·s, 35 lm·s per W·s, a 0.6 × 0.9 m box of T 0.45, dial −2.3,
 * azimuth 45°, elevation 35°, 1.2 m. The lens looks along −Z at the height of the object's reference point.
 */
export function boxInBlackRoom(): Setup {
  const setup = choir();
  const main = lightOf(setup, "M");
  const height = 1.25;
  const modifier: Modifier = {
    ...main.modifier,
    name: "box 60 × 90",
    shape: "rectangle",
    widthM: 0.6,
    heightM: 0.9,
    transmission: 0.45,
    lipM: 0,
    grid: null,
    hotCentre: 0,
    learnedStops: 0,
    learnedReadings: 0,
  };
  const light: Light = {
    ...main,
    head: {
      ...main.head,
      energyWs: 500,
      efficacy: 35,
      learnedStops: 0,
      learnedReadings: 0,
      dialTable: [],
      t01S: null,
      t05S: null,
    },
    modifier,
    place: { kind: "polar", azimuthDeg: 45, distanceM: 1.2, heightM: height + 1.2 * Math.sin((35 * Math.PI) / 180) },
    aim: { kind: "point", point: "nose" },
    rollDeg: 0,
    dialStops: -2.3,
    pops: 1,
    gels: [],
    ndStops: 0,
    calibrationStops: null,
    meterAt: { point: "nose", receptor: "disc", aim: "light" },
  };
  return {
    ...setup,
    exposure: { ...setup.exposure, iso: 100 },
    camera: { ...setup.camera, position: { xM: 0, yM: height, zM: 2.6 }, aim: { xM: 0, yM: height, zM: 0 } },
    meter: { ...setup.meter, discC: 250, domeC: 340, offsetStops: 0 },
    room: { ...setup.room, reflectance: black, ambientLx: null },
    subject: { ...setup.subject, kind: "object", noseHeightM: height },
    lights: [light],
    panels: [],
    readings: [],
  };
}
