export { decodePhotometricText } from "./decode-text.ts";
export { parseIes } from "./ies.ts";
export { parseLdt } from "./ldt.ts";
export { parsePhotometricFile } from "./photometric-file.ts";
export { printIes } from "./print-ies.ts";
export * from "./web.ts";
export { interpolatedFlux, zonalFlux } from "./web-flux.ts";
export { intensity, intensityField } from "./web-intensity.ts";
