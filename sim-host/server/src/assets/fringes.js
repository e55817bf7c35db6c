// A part under an optical flat: light bands as the server computes them, with the count said in words beside them.

import { el, svg } from "./dom.js";

// One face under a flat that is laid so. Rows of points of one shade are one path, stroked.
function picture(face, [laid, seen]) {
  const [width, height] = seen.size;
  const grey = (level) => `rgb(${level},${level},${level})`;
  return el("div", { class: "flat" },
    svg("svg", { viewBox: `0 0 ${width} ${height}`, class: "bands", role: "img", "aria-label": `${face.face}, ${laid}: ${face.words}` },
      ...seen.shades.map((shade) => svg("path", { d: shade.rows, stroke: grey(shade.grey) }))),
    el("p", { class: "soft", text: laid }));
}

// Both faces of a part.
export function flats(seen) {
  return el("div", { class: "flats" }, ...seen.faces.map((face) => el("figure", {},
    el("div", { class: "flat-pair" }, ...face.pictures.map((one) => picture(face, one))),
    el("figcaption", {}, el("b", { text: face.face }), `: ${face.words}`))));
}
