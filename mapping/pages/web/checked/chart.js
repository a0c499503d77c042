// The chart of findings: a waterline over the keys for each check that found something. Each finding hangs from it
// like a sounding lead, as deep as it is beyond its limit, where on the keyboard it is.

import { element } from "../element.js";
import { onInks, readInks } from "../inks.js";
import { drawSign, sign } from "./sign.js";

const blacks = new Set([1, 3, 6, 8, 10]);
const deepestTimes = 8; // beyond its limit: no lead hangs deeper
const reachPx = 24; // of a click

export class Chart {
	#names = element("div", {
		class: "checks", role: "group",
		"aria-label": "Checks that found something; press one to see its findings alone",
	});
	#canvas = element("canvas", { "aria-hidden": "true" });
	#host;
	#choose;
	#filter;
	#inks = readInks();
	/** @type {import("./place.js").Found[]} */
	#all = [];
	/** @type {import("../types.js").PartTold[]} */
	#rows = [];
	/** @type {import("../types.js").MapTold | null} */
	#map = null;
	/** @type {import("./place.js").Found | undefined} */
	#chosen;
	#only = "";
	#rowHeight = 0;

	/**
	 * @param {HTMLElement} host
	 * @param {(one: import("./place.js").Found) => void} choose
	 * @param {(check: string) => void} filter shows the findings of one check alone; "" those of all
	 */
	constructor(host, choose, filter) {
		this.#host = host;
		this.#choose = choose;
		this.#filter = filter;
		host.append(this.#names, element("div", { class: "waters" }, this.#canvas));
		new ResizeObserver(() => this.draw()).observe(host);
		this.#canvas.addEventListener("click", (event) => this.#press(event));
		onInks(() => {
			this.#inks = readInks();
			this.draw();
		});
	}

	/**
	 * @param {import("./place.js").Found[]} all
	 * @param {import("../types.js").PartTold[]} parts
	 * @param {import("../types.js").MapTold} map
	 */
	fill(all, parts, map) {
		this.#all = all;
		this.#map = map;
		this.#rows = parts.filter((part) => part.findings.length > 0);
		if (!this.#rows.some((part) => part.name === this.#only)) this.#only = "";
		this.#host.hidden = this.#rows.length === 0;
		this.#names.replaceChildren(...this.#rows.map((part) => {
			const pressed = String(part.name === this.#only);
			const button = element("button", { type: "button", "aria-pressed": pressed, title: part.about },
				sign(part.verdict === "passes" ? "waived" : part.verdict), element("span", {}, part.name),
				element("span", { class: "quiet" }, String(part.findings.length)));
			button.addEventListener("click", () => {
				this.#only = this.#only === part.name ? "" : part.name;
				for (const [i, other] of [...this.#names.children].entries())
					other.setAttribute("aria-pressed", String(this.#rows[i].name === this.#only));
				this.#filter(this.#only);
				this.draw();
			});
			return button;
		}));
		this.draw();
	}

	/** @param {import("./place.js").Found | undefined} one */
	mark(one) {
		this.#chosen = one;
		this.draw();
	}

	/** @param {MouseEvent} event */
	#press(event) {
		let best = null;
		let nearest = reachPx;
		for (const one of this.#all) {
			const { x, y } = this.#placeOf(one);
			const away = Math.hypot(event.offsetX - x, event.offsetY - y);
			if (away < nearest) [best, nearest] = [one, away];
		}
		if (best) this.#choose(best);
	}

	/** The keys that the chart spans. */
	#range() {
		const zones = this.#map?.zones ?? [];
		return { low: Math.min(...zones.map((zone) => zone.low)), high: Math.max(...zones.map((zone) => zone.high)) };
	}

	/** @param {number} key may lie between two */
	#x(key) {
		const { low, high } = this.#range();
		const aside = this.#aside();
		return aside + ((key - low + 0.5) * (this.#canvas.clientWidth - aside)) / (high - low + 1);
	}

	/** How wide the place is for what is on no key. */
	#aside() {
		return this.#all.some((one) => one.at === null) ? Math.min(64, 0.12 * this.#canvas.clientWidth) : 0;
	}

	/** @param {import("./place.js").Found} one */
	#placeOf(one) {
		const row = this.#rows.indexOf(one.part);
		const line = (row + 0.24) * this.#rowHeight;
		const deep = Math.min(1, Math.log2(one.times) / Math.log2(deepestTimes));
		const y = line + this.#rowHeight * (0.26 + 0.34 * deep);
		const [i, of] = one.beside;
		if (one.at === null) return { x: ((this.#aside() - 14) * (i + 0.5)) / of, y, line };
		const room = one.span && one.keys.length === 0 ? (this.#x(one.span[1]) - this.#x(one.span[0])) / of : 0;
		const step = Math.min(Math.max(room, 3.2 * this.#size()), 5 * this.#size());
		const x = this.#x(one.at) + step * (i - (of - 1) / 2);
		const [first, last] = [this.#aside() + this.#size(), this.#canvas.clientWidth - 1.6 * this.#size()];
		return { x: Math.min(Math.max(x, first), last), y, line };
	}

	/** The radius of a mark. */
	#size() {
		return Math.max(3.4, Math.min(10, 0.11 * this.#rowHeight));
	}

	draw() {
		const canvas = this.#canvas;
		const g = canvas.getContext("2d");
		const wide = canvas.clientWidth;
		if (!g || !this.#map || wide === 0 || this.#rows.length === 0) return;
		this.#rowHeight = this.#names.offsetHeight / this.#rows.length;
		const keysHigh = Math.round(Math.min(44, Math.max(26, 0.62 * this.#rowHeight)));
		const high = Math.round(this.#names.offsetHeight) + keysHigh;
		const scale = Math.min(devicePixelRatio || 1, 2);
		canvas.style.height = `${high}px`;
		canvas.width = Math.round(wide * scale);
		canvas.height = Math.round(high * scale);
		g.scale(scale, scale);
		const style = getComputedStyle(this.#host);
		const inks = { fails: this.#inks.mark, warns: style.getPropertyValue("--warns").trim(),
			waived: this.#inks.quiet };
		const left = this.#aside();
		this.#rows.forEach((_, row) => {
			const y = Math.round((row + 0.24) * this.#rowHeight) + 0.5;
			g.strokeStyle = this.#inks.rule;
			g.lineWidth = 1;
			g.beginPath();
			if (left > 0) {
				g.moveTo(0, y);
				g.lineTo(left - 14, y);
			}
			g.moveTo(left, y);
			g.lineTo(wide, y);
			g.stroke();
		});
		const chosen = this.#chosen && this.#all.includes(this.#chosen) ? this.#chosen : undefined;
		this.#drawKeys(g, high - keysHigh, keysHigh, chosen);
		for (const one of [...this.#all].reverse()) if (one !== chosen) this.#drawLead(g, one, inks[one.grave], false);
		if (chosen) this.#drawLead(g, chosen, inks[chosen.grave], true);
	}

	/**
	 * @param {CanvasRenderingContext2D} g
	 * @param {import("./place.js").Found} one
	 * @param {string} ink
	 * @param {boolean} chosen
	 */
	#drawLead(g, one, ink, chosen) {
		const { x, y, line } = this.#placeOf(one);
		const faint = this.#only !== "" && one.part.name !== this.#only;
		const size = this.#size() * (chosen ? 1.3 : 1);
		const thick = this.#size() / 4;
		g.globalAlpha = faint ? 0.25 : 1;
		g.strokeStyle = g.fillStyle = ink;
		if (one.span) {
			const [from, to] = [this.#x(one.span[0] - 0.5), this.#x(one.span[1] + 0.5)];
			g.globalAlpha *= one.keys.length > 0 ? 0.25 : 0.5;
			g.fillRect(from + 1, line - thick, to - from - 2, one.keys.length > 0 ? 1.5 * thick : 3 * thick);
			g.globalAlpha = faint ? 0.25 : 1;
		}
		for (const key of one.keys) g.fillRect(this.#x(key) - thick, line - 3 * thick, 2 * thick, 5 * thick);
		g.lineWidth = (chosen ? 2 : 1.1) * thick;
		g.beginPath();
		g.moveTo(x, line);
		g.lineTo(x, y - size);
		g.stroke();
		drawSign(g, one.grave, x, y, size, ink, this.#inks.paper);
		if (chosen) {
			g.strokeStyle = this.#inks.text;
			g.lineWidth = 1.5;
			g.beginPath();
			g.arc(x, y, 1.5 * size + 1, 0, 2 * Math.PI);
			g.stroke();
		}
		g.globalAlpha = 1;
	}

	/**
	 * Draws the keys, those of the chosen finding marked.
	 * @param {CanvasRenderingContext2D} g
	 * @param {number} top
	 * @param {number} high
	 * @param {import("./place.js").Found | undefined} chosen
	 */
	#drawKeys(g, top, high, chosen) {
		const { low, high: highest } = this.#range();
		const strip = Math.round(0.42 * high);
		const apart = high > 30 ? 1 : 0.5;
		const marked = (/** @type {number} */ key) => chosen !== undefined && (chosen.keys.includes(key) ||
			(chosen.keys.length === 0 && chosen.span !== null && key >= chosen.span[0] && key <= chosen.span[1]));
		g.textAlign = "center";
		g.textBaseline = "top";
		g.font = `${Math.max(11, Math.min(18, Math.round(0.42 * high)))}px ${this.#inks.sans}`;
		const octave = this.#x(12) - this.#x(0);
		const sparsely = octave < 34 ? 24 : 12; // where there is little room, every other octave has its name
		for (let key = low; key <= highest; key++) {
			const [from, to] = [this.#x(key - 0.5), this.#x(key + 0.5)];
			g.fillStyle = marked(key) ? this.#inks.strands[1]
				: blacks.has(key % 12) ? this.#inks.edge : this.#inks.sunk;
			g.fillRect(from, top, Math.max(to - from - apart, 0.75), strip);
			if (key % sparsely === 0 && this.#map) {
				const name = this.#map.keyNames[key];
				const half = g.measureText(name).width / 2;
				g.fillStyle = this.#inks.quiet;
				g.fillText(name, Math.min((from + to) / 2, this.#canvas.clientWidth - half), top + strip + 3);
			}
		}
		if (this.#aside() > 0) {
			g.textAlign = "left";
			g.fillStyle = this.#inks.quiet;
			g.fillText("all", 0, top + strip + 3);
		}
	}
}
