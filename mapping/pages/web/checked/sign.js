// The signs of verdicts: a ring is a pass, half a disc a warning, a disc a failure, a struck ring waived. They are
// those of the report.

import { drawn } from "../element.js";

/** @typedef {"passes" | "warns" | "fails" | "waived"} Grave */

/**
 * @param {Grave} grave
 */
export function sign(grave) {
	const made = drawn("svg", { class: `sign ${grave}`, viewBox: "0 0 12 12", "aria-hidden": "true" },
		drawn("circle", { cx: 6, cy: 6, r: 4.6, "stroke-width": 1.8, fill: grave === "fails" ? "currentColor" : "none",
			stroke: "currentColor" }));
	if (grave === "warns") made.append(drawn("path", { d: "M6 1.4a4.6 4.6 0 0 0 0 9.2z", fill: "currentColor" }));
	if (grave === "waived") {
		made.append(drawn("path", { d: "M2.8 9.2 9.2 2.8", "stroke-width": 1.8, stroke: "currentColor" }));
	}
	return made;
}

/**
 * The same on a canvas.
 * @param {CanvasRenderingContext2D} g
 * @param {Grave} grave
 * @param {number} x
 * @param {number} y
 * @param {number} size its radius
 * @param {string} ink
 * @param {string} paper
 */
export function drawSign(g, grave, x, y, size, ink, paper) {
	g.beginPath();
	g.arc(x, y, size, 0, 2 * Math.PI);
	g.fillStyle = grave === "fails" ? ink : paper;
	g.fill();
	g.strokeStyle = ink;
	g.lineWidth = Math.max(1, size * 0.36);
	g.stroke();
	g.beginPath();
	if (grave === "warns") {
		g.arc(x, y, size, Math.PI / 2, -Math.PI / 2);
		g.fillStyle = ink;
		g.fill();
	} else if (grave === "waived") {
		g.moveTo(x - size * 0.7, y + size * 0.7);
		g.lineTo(x + size * 0.7, y - size * 0.7);
		g.stroke();
	}
}
