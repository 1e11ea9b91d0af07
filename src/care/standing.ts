/**
 * Will a stand with n legs stand? The foot is the regular polygon of its leg ends; all masses enter at their
 * real offsets. Critical tilt θ = atan(s/h), the push at height p that starts tipping F = W·g·s/p, with s
 * from the centre of mass to the tipping edge (statics). Limits: a portable luminaire stands on a slope of
 * 6° (IEC 60598-2-4, cl. 4.6.3) or 8° (UL 153, cl. 132.2.2), both as quoted in trade texts; 10° and 50 N at
 * 1.6 m, a person brushing past, are common practice, no source. Units: kg, m, N, degrees.
 */

/** Standard gravity rounded as the handbook of this project takes it, m/s². */
export const gravity = 9.81;
/** Below this slope a stand is stopped (IEC 60598-2-4, cl. 4.6.3). */
export const stopTiltDeg = 6;
/** Below this slope a stand wants a look (common practice, no source). */
export const careTiltDeg = 10;
/** A person brushing past (common practice, no source). */
export const leastPushN = 50;
export const pushHeightM = 1.6;
/** Bags hang low over a leg or lie on the legs. */
export const bagHeightM = 0.15;

/** A mass with its horizontal offset from the column's axis. */
export interface StandMass {
  readonly massKg: number;
  readonly xM: number;
  readonly zM: number;
  readonly heightM: number;
}

export interface Stand {
  readonly legs: number;
  readonly footRadiusM: number;
  /** World azimuth of one leg: 0 toward +Z, positive to +X. */
  readonly legAzimuthDeg: number;
  readonly masses: readonly StandMass[];
}

/** How far from falling, one way. */
export interface Margin {
  readonly marginM: number;
  readonly tiltDeg: number;
  readonly pushN: number;
}

export interface StandTipping {
  readonly massKg: number;
  /** Horizontal offset of the centre of mass, and which way it leans. */
  readonly leanM: number;
  readonly leanDeg: number;
  readonly heightM: number;
  /** The way the load leans: from the centre of mass to the foot polygon's edge along it. */
  readonly alongLoad: Margin;
  /** Over the nearest edge, whichever way: what the limits are judged by. */
  readonly worst: Margin & { readonly towardDeg: number };
}

/** Distance from the axis to the nearest tipping edge over the leg radius: cos(π/n); a tripod 0.5. Throws RangeError below 3 legs. */
export function edgeFactor(legs: number): number {
  if (!(legs >= 3)) throw new RangeError("a stand needs three legs or more");
  return Math.cos(Math.PI / legs);
}

/** The foot polygon's half width along an azimuth measured from a leg: R toward a foot, R·cos(π/n) between two. */
export function footReachM(legs: number, footRadiusM: number, fromLegDeg: number): number {
  const sector = 360 / legs;
  const inSector = (((fromLegDeg % sector) + sector) % sector) - sector / 2;
  return (footRadiusM * edgeFactor(legs)) / Math.cos((inSector * Math.PI) / 180);
}

/** Margin, critical tilt and push of a stand; negative margins mean that it falls by itself. */
export function standTipping(stand: Stand, pushAtM: number = pushHeightM): StandTipping {
  let [massKg, momentX, momentZ, momentY] = [0, 0, 0, 0];
  for (const mass of stand.masses) {
    massKg += mass.massKg;
    momentX += mass.massKg * mass.xM;
    momentZ += mass.massKg * mass.zM;
    momentY += mass.massKg * mass.heightM;
  }
  if (!(massKg > 0)) throw new RangeError("a stand without mass cannot be judged");
  const [x, z, heightM] = [momentX / massKg, momentZ / massKg, momentY / massKg];
  const leanM = Math.hypot(x, z);
  const leanDeg = leanM > 1e-9 ? (Math.atan2(x, z) * 180) / Math.PI : stand.legAzimuthDeg + 180 / stand.legs;
  const margin = (marginM: number): Margin => ({
    marginM,
    tiltDeg: (Math.atan2(marginM, heightM) * 180) / Math.PI,
    pushN: (massKg * gravity * marginM) / pushAtM,
  });
  const reachM = footReachM(stand.legs, stand.footRadiusM, leanDeg - stand.legAzimuthDeg);
  const edgeM = stand.footRadiusM * edgeFactor(stand.legs);
  let worst = { marginM: Number.POSITIVE_INFINITY, towardDeg: 0 };
  for (let i = 0; i < stand.legs; i++) {
    const towardDeg = stand.legAzimuthDeg + ((i + 0.5) * 360) / stand.legs;
    const toward = (towardDeg * Math.PI) / 180;
    const marginM = edgeM - (x * Math.sin(toward) + z * Math.cos(toward));
    if (marginM < worst.marginM) worst = { marginM, towardDeg };
  }
  return {
    massKg,
    leanM,
    leanDeg,
    heightM,
    alongLoad: margin(reachM - leanM),
    worst: { ...margin(worst.marginM), towardDeg: worst.towardDeg },
  };
}

/** What a bag has to reach. */
export interface StandGoal {
  readonly tiltDeg: number;
  /** Null where a push is only told, not judged. */
  readonly pushN: number | null;
  /** Where the push is applied. */
  readonly pushAtM: number;
}

/** Heavier than anybody carries to a stand. */
const mostBagKg = 200;

/**
 * The smallest bag, kg, hung low at the column, with which the worst edge reaches the goal: by bisection, to
 * 10 g. Null when no bag up to 200 kg does it. A bag lowers the centre of mass and adds weight, so both
 * margins only rise with it as long as the centre of mass is inside the foot.
 */
export function sandbagFor(stand: Stand, goal: StandGoal): number | null {
  const reaches = (bagKg: number): boolean => {
    const bag: StandMass = { massKg: bagKg, xM: 0, zM: 0, heightM: bagHeightM };
    const { worst } = standTipping({ ...stand, masses: [...stand.masses, bag] }, goal.pushAtM);
    return worst.tiltDeg >= goal.tiltDeg && (goal.pushN === null || worst.pushN >= goal.pushN);
  };
  if (reaches(0)) return 0;
  if (!reaches(mostBagKg)) return null;
  let [low, high] = [0, mostBagKg];
  while (high - low > 0.005) {
    const middle = (low + high) / 2;
    if (reaches(middle)) high = middle;
    else low = middle;
  }
  return high;
}

/** Push of the wind on a flat front, N: ½·ρ·v²·C_d·A with air of 1.225 kg/m³ and C_d 1.2 (fluid mechanics). */
export const windPushN = (speedMPerS: number, areaM2: number): number => 0.5 * 1.225 * speedMPerS ** 2 * 1.2 * areaM2;
