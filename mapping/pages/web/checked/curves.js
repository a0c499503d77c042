// A drawing of a check on a canvas: lines or dots over the keys, a controller or time, the finding's place marked.

import { element } from "../element.js";
import { onInks, readInks } from "../inks.js";

const dashes = [[], [6, 4], [2, 3], [8, 3, 2, 3]];

export class Curves {
	#canvas = element("canvas", { role: "img" });
	#caption = element("figcaption");
	#legend = element("p", { class: "curve-names" });
	#inks = readInks();
	/** @type {import("../types.js").DrawnTold | null} */
	#drawn = null;
	/** @type {number | null} */
	#at = null;
	/** @type {string[]} */
	#keyNames = [];
	element = element("figure", { class: "curves" }, this.#caption, this.#canvas, this.#legend);

	constructor() {
		new ResizeObserver(() => this.#draw()).observe(this.#canvas);
		onInks(() => {
			this.#inks = readInks();
			this.#draw();
		});
	}

	/**
	 * @param {import("../types.js").DrawnTold} drawn
	 * @param {number | null} at the place of a finding on the keys
	 * @param {string[]} keyNames
	 */
	show(drawn, at, keyNames) {
		this.#drawn = drawn;
		this.#at = drawn.axis === "keys" ? at : null;
		this.#keyNames = keyNames;
		this.element.setAttribute("aria-label", drawn.title);
		const over = drawn.across ? `, over the ${drawn.across}` : "";
		this.#canvas.setAttribute("aria-label", `${drawn.title}: ${drawn.up}${over}`);
		this.#caption.replaceChildren(element("b", {}, drawn.title),
			element("span", { class: "quiet" }, ` ${drawn.up}`));
		this.#legend.replaceChildren(...drawn.curves.filter((curve) => curve.name).map((curve, i) => {
			const mark = element("i", { class: curve.dots ? `dot-${i % 2}` : `dash-${i % dashes.length}` });
			return element("span", {}, mark, curve.name);
		}));
		this.#draw();
	}

	#draw() {
		const canvas = this.#canvas;
		const g = canvas.getContext("2d");
		const drawn = this.#drawn;
		const [wide, high] = [canvas.clientWidth, canvas.clientHeight];
		if (!g || !drawn || wide === 0) return;
		const scale = Math.min(devicePixelRatio || 1, 2);
		canvas.width = Math.round(wide * scale);
		canvas.height = Math.round(high * scale);
		g.scale(scale, scale);
		const ys = /** @type {number[]} */ (drawn.curves.flatMap((curve) => curve.y.filter((y) => y !== null)));
		const xs = drawn.curves.flatMap((curve) => curve.x);
		if (ys.length === 0) return;
		const px = Number.parseFloat(getComputedStyle(canvas).fontSize);
		const box = { left: 2.6 * px, right: wide - 0.5 * px, top: 0.6 * px, bottom: high - 1.6 * px };
		const [lowX, highX] = [Math.min(...xs), Math.max(...xs)];
		const ticks = niceTicks(Math.min(...ys), Math.max(...ys));
		const [lowY, highY] = [Math.min(ticks[0], ...ys), Math.max(ticks[ticks.length - 1], ...ys)];
		const perX = (box.right - box.left) / (highX - lowX || 1);
		const perY = (box.bottom - box.top) / (highY - lowY || 1);
		const x = (/** @type {number} */ value) => box.left + (value - lowX) * perX;
		const y = (/** @type {number} */ value) => box.bottom - (value - lowY) * perY;
		g.font = `${px}px ${this.#inks.sans}`;
		g.textBaseline = "middle";
		g.textAlign = "right";
		g.lineWidth = 1;
		for (const tick of ticks) {
			g.strokeStyle = this.#inks.rule;
			g.beginPath();
			g.moveTo(box.left, Math.round(y(tick)) + 0.5);
			g.lineTo(box.right, Math.round(y(tick)) + 0.5);
			g.stroke();
			g.fillStyle = this.#inks.quiet;
			g.fillText(String(Number(tick.toPrecision(6))).replace("-", "−"), box.left - 0.45 * px, y(tick));
		}
		g.textBaseline = "alphabetic";
		g.textAlign = "center";
		for (const [at, text] of this.#acrossTicks(drawn, lowX, highX)) {
			g.fillText(text, Math.min(x(at), wide - g.measureText(text).width / 2), high - 0.25 * px);
		}
		if (this.#at !== null) {
			g.strokeStyle = this.#inks.mark;
			g.beginPath();
			g.moveTo(x(this.#at), box.top);
			g.lineTo(x(this.#at), box.bottom);
			g.stroke();
		}
		drawn.curves.forEach((curve, i) => this.#drawCurve(g, curve, i, x, y));
	}

	/**
	 * @param {CanvasRenderingContext2D} g
	 * @param {import("../types.js").DrawnTold["curves"][number]} curve
	 * @param {number} i
	 * @param {(value: number) => number} x
	 * @param {(value: number) => number} y
	 */
	#drawCurve(g, curve, i, x, y) {
		g.strokeStyle = g.fillStyle = this.#inks.strands[i % this.#inks.strands.length];
		g.lineWidth = Math.max(1.5, Number.parseFloat(getComputedStyle(this.#canvas).fontSize) / 8);
		g.setLineDash(curve.dots ? [] : dashes[i % dashes.length]);
		g.beginPath();
		let broken = true;
		curve.y.forEach((value, n) => {
			if (value === null) broken = true;
			else if (curve.dots) {
				const size = i % 2 === 0 ? 2.6 : 3.4;
				g.moveTo(x(curve.x[n]) + size, y(value));
				g.arc(x(curve.x[n]), y(value), size, 0, 2 * Math.PI);
			} else if (broken) {
				g.moveTo(x(curve.x[n]), y(value));
				broken = false;
			} else g.lineTo(x(curve.x[n]), y(value));
		});
		if (curve.dots && i % 2 === 0) g.fill();
		else g.stroke();
		g.setLineDash([]);
	}

	/**
	 * @param {import("../types.js").DrawnTold} drawn
	 * @param {number} low
	 * @param {number} high
	 * @returns {[number, string][]}
	 */
	#acrossTicks(drawn, low, high) {
		if (drawn.axis === "keys") {
			/** @type {[number, string][]} */
			const names = [];
			for (let key = Math.ceil(low / 12) * 12; key <= high; key += 12) {
				names.push([key, this.#keyNames[key] ?? String(key)]);
			}
			return names;
		}
		if (drawn.axis === "controller") return [0, 32, 64, 96, 127].map((value) => [value, String(value)]);
		const unit = drawn.axis === "time" ? " s" : "";
		return niceTicks(low, high).map((value) => [value, `${value}${unit}`]);
	}
}

/**
 * A few round numbers between two.
 * @param {number} low
 * @param {number} high
 */
function niceTicks(low, high) {
	const wide = high - low || 1;
	const rough = wide / 5;
	const power = 10 ** Math.floor(Math.log10(rough));
	const step = [1, 2, 5, 10].map((n) => n * power).find((one) => one >= rough) ?? wide;
	const ticks = [];
	for (let i = Math.ceil(low / step - 1e-9); i * step <= high + 1e-9 * step; i++) ticks.push(i * step);
	return ticks.length > 0 ? ticks : [low];
}
