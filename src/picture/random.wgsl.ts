/**
 * The WGSL twin of random.ts. Part of trace.wgsl.ts. A Sobol word is put together byte by byte:
 * `words` begins with what each byte of the index gives on axes 1 to 3 (`sobolBytes`).
 */

export const randomWgsl: string = /* wgsl */ `
fn pcgHash(word: u32) -> u32 {
  let state = word * 747796405u + 2891336453u;
  let mixed = ((state >> ((state >> 28u) + 4u)) ^ state) * 277803737u;
  return (mixed >> 22u) ^ mixed;
}
fn hashPair(a: u32, b: u32) -> u32 { return pcgHash(a ^ pcgHash(b)); }
fn unitOf(word: u32) -> f32 { return f32(word >> 8u) / 16777216.0; }
fn owenScramble(word: u32, seed: u32) -> u32 {
  var x = reverseBits(word) + seed;
  x ^= x * 0x6c50b47cu;
  x ^= x * 0xb82f1e52u;
  x ^= x * 0xc7afe638u;
  x ^= x * 0x8d22f6e6u;
  return reverseBits(x);
}
fn sobolWord(index: u32, axis: u32) -> u32 {
  if (axis == 0u) { return reverseBits(index); }
  let at = 1024u * (axis - 1u);
  return words[at + (index & 255u)] ^ words[at + 256u + ((index >> 8u) & 255u)] ^
    words[at + 512u + ((index >> 16u) & 255u)] ^ words[at + 768u + (index >> 24u)];
}
fn sobolSample(index: u32, dimension: u32, seed: u32) -> f32 {
  let setSeed = hashPair(seed, dimension >> 2u);
  let axis = dimension & 3u;
  return unitOf(owenScramble(sobolWord(owenScramble(index, setSeed), axis), hashPair(setSeed, axis + 1u)));
}
fn luminanceOf(c: vec3f) -> f32 { return dot(c, vec3f(0.2126, 0.7152, 0.0722)); }
`;
