// The keyboard: its keys, and above them the zones of all ranks as swells.

import { element, say } from "../element.js";
import { zoneTitle } from "../words.js";
import { onInks, readInks } from "../inks.js";

const blacks = new Set([1, 3, 6, 8, 10]);
const leastWhitePx = 17; // where fewer keys fit, a part of the keyboard is shown
const touchWhitePx = 30;
const swellPart = 0.34; // of the height, for the swells of the zones

/** @typedef {{key: number, x: number, width: number, black: boolean}} Placed */

/** @param {number} key */
function isBlack(key) {
	return blacks.has(key % 12);
}

export class Keyboard {
	/** @type {import("../types.js").MapTold | null} */
	#map = null;
	#inks = readInks();
	#canvas = element("canvas", {
		tabindex: "0", role: "application", "aria-roledescription": "keyboard",
		"aria-label": "Keyboard. Left and right choose a key, space plays it; letters of the computer's keyboard " +
			"play too.",
	});
	#shift = element("div", { class: "octaves" });
	#range = element("p", { class: "range" });
	/** @type {Placed[]} */
	#placed = [];
	#low = 21;
	#high = 108;
	#first = 21; // shown
	#last = 108;
	#width = 0;
	#height = 0;
	#keysTop = 0;
	/** @type {Map<number, number>} how strongly keys sound, 0 to 1 */
	#sounding = new Map();
	/** @type {Set<number>} zones that sound */
	#zones = new Set();
	/** @type {Set<string>} */
	#pointed = new Set();
	#chosen = 60;
	#signature = "";

	/** @param {HTMLElement} host */
	constructor(host) {
		const lower = element("button", { type: "button" }, "‹ lower");
		const higher = element("button", { type: "button" }, "higher ›");
		lower.addEventListener("click", () => this.#move(-12));
		higher.addEventListener("click", () => this.#move(12));
		this.#shift.append(lower, this.#range, higher);
		host.append(this.#shift, this.#canvas);
		new ResizeObserver(() => this.#fit()).observe(this.#canvas);
		onInks(() => {
			this.#inks = readInks();
			this.#signature = "";
			this.draw();
		});
	}

	get canvas() {
		return this.#canvas;
	}

	get chosen() {
		return this.#chosen;
	}

	/** @param {import("../types.js").MapTold} map */
	setMap(map) {
		this.#map = map;
		const toWhite = (/** @type {number} */ key, /** @type {number} */ step) => (isBlack(key) ? key + step : key);
		this.#low = toWhite(Math.min(...map.zones.map((zone) => zone.low)), -1);
		this.#high = toWhite(Math.max(...map.zones.map((zone) => zone.high)), 1);
		this.#chosen = Math.min(Math.max(this.#chosen, this.#low), this.#high);
		if (this.#first < this.#low || this.#first > this.#high) [this.#first, this.#last] = [this.#low, this.#high];
		this.#fit();
	}

	/**
	 * Shows the beds that are pointed at.
	 * @param {Set<string>} beds
	 */
	point(beds) {
		this.#pointed = beds;
		this.#signature = "";
		this.draw();
	}

	/** @param {number} keys */
	#move(keys) {
		const span = this.#last - this.#first;
		this.#first = Math.min(Math.max(this.#first + keys, this.#low), Math.max(this.#low, this.#high - span));
		this.#fit();
	}

	/**
	 * Chooses another key, for those who play by the arrow keys.
	 * @param {number} step
	 */
	choose(step) {
		this.#chosen = Math.min(Math.max(this.#chosen + step, this.#low), this.#high);
		if (this.#chosen < this.#first || this.#chosen > this.#last) {
			this.#first = Math.max(this.#low, this.#chosen - 12);
			this.#fit();
		}
		say(this.#map?.keyNames[this.#chosen] ?? String(this.#chosen));
		this.#signature = "";
		this.draw();
	}

	#fit() {
		const box = this.#canvas.getBoundingClientRect();
		if (box.width === 0 || !this.#map) return;
		this.#width = box.width;
		this.#height = box.height;
		const scale = Math.min(devicePixelRatio || 1, 2);
		this.#canvas.width = Math.round(box.width * scale);
		this.#canvas.height = Math.round(box.height * scale);
		this.#canvas.getContext("2d")?.setTransform(scale, 0, 0, scale, 0, 0);
		this.#keysTop = Math.round(swellPart * box.height);
		const least = matchMedia("(pointer: coarse)").matches ? touchWhitePx : leastWhitePx;
		const all = whitesBetween(this.#low, this.#high);
		const fit = Math.max(7, Math.floor(box.width / least));
		if (fit >= all) [this.#first, this.#last] = [this.#low, this.#high];
		else {
			if (this.#first === this.#low && this.#last === this.#high) this.#first = Math.max(this.#low, 48);
			while (isBlack(this.#first)) this.#first++;
			this.#last = this.#first;
			for (let whites = 1; whites < fit && this.#last < this.#high; ) if (!isBlack(++this.#last)) whites++;
		}
		this.#shift.hidden = fit >= all;
		const names = this.#map.keyNames;
		this.#range.textContent = `${names[this.#first]} to ${names[this.#last]}`;
		this.#place();
		this.#signature = "";
		this.draw();
	}

	#place() {
		const whites = whitesBetween(this.#first, this.#last);
		const white = this.#width / whites;
		this.#placed = [];
		let x = 0;
		for (let key = this.#first; key <= this.#last; key++) {
			if (isBlack(key)) this.#placed.push({ key, x: x - white * 0.29, width: white * 0.58, black: true });
			else {
				this.#placed.push({ key, x, width: white, black: false });
				x += white;
			}
		}
	}

	/**
	 * The key at a point of the canvas, and how far down it is hit, 0 to 1.
	 * @param {number} x
	 * @param {number} y
	 * @returns {{key: number, depth: number} | null}
	 */
	keyAt(x, y) {
		const tall = this.#height - this.#keysTop;
		const depth = (y - this.#keysTop) / tall;
		if (depth < 0 || depth > 1) return null;
		for (const black of [true, false]) {
			for (const key of this.#placed) {
				if (key.black === black && x >= key.x && x < key.x + key.width && (!black || depth < 0.62)) {
					return { key: key.key, depth: Math.min(1, black ? depth / 0.62 : depth) };
				}
			}
		}
		return null;
	}

	/**
	 * Takes in what sounds.
	 * @param {import("./courses.js").Group[]} groups
	 */
	show(groups) {
		this.#sounding.clear();
		this.#zones.clear();
		for (const group of groups) {
			for (const course of group.courses) {
				const strength = course.state <= 1 ? 1 : 0.15 + 0.5 * course.level;
				const before = this.#sounding.get(group.key) ?? 0;
				this.#sounding.set(group.key, Math.max(before, Math.round(strength * 20) / 20));
				this.#zones.add(course.zone);
			}
		}
		this.draw();
	}

	draw() {
		const signature = [...this.#sounding].flat().join() + "/" + [...this.#zones].join();
		if (signature === this.#signature) return;
		this.#signature = signature;
		const g = this.#canvas.getContext("2d");
		if (!g || !this.#map) return;
		g.clearRect(0, 0, this.#width, this.#height);
		this.#drawRanks(g, this.#map);
		for (const key of this.#placed) if (!key.black) this.#drawKey(g, key);
		for (const key of this.#placed) if (key.black) this.#drawKey(g, key);
	}

	/**
	 * @param {CanvasRenderingContext2D} g
	 * @param {Placed} placed
	 */
	#drawKey(g, placed) {
		const { key, x, width, black } = placed;
		const ink = this.#inks;
		const tall = (this.#height - this.#keysTop - 2) * (black ? 0.62 : 1);
		const top = this.#keysTop;
		g.fillStyle = black ? ink.ebony : ink.ivory;
		g.fillRect(x + 0.5, top, width - 1, tall);
		g.strokeStyle = ink.edge;
		g.lineWidth = 1;
		g.strokeRect(x + 0.5, top + 0.5, width - 1, tall - 1);
		const sounds = this.#sounding.get(key);
		if (sounds) {
			g.globalAlpha = sounds;
			g.fillStyle = black ? ink.strands[1] : "#12414f";
			const deep = tall * 0.34;
			g.fillRect(x + 2, top + tall - deep, width - 4, deep - 2);
			g.globalAlpha = 1;
		}
		if (key === this.#chosen && document.activeElement === this.#canvas) {
			g.strokeStyle = ink.mark;
			g.lineWidth = 2;
			g.strokeRect(x + 2, top + 2, width - 4, tall - 4);
		}
		if (!black && key % 12 === 0 && width > 13 && this.#map) {
			g.fillStyle = sounds ? "#fff" : ink.ebony;
			g.font = `${Math.min(Math.max(12, 0.09 * this.#height), width * 0.55)}px ${ink.sans}`;
			g.textAlign = "center";
			g.textBaseline = "alphabetic";
			g.fillText(this.#map.keyNames[key], x + width / 2, top + tall - 6);
		}
	}

	/**
	 * Draws each zone as a swell: as high over a key as it is loud there. Where one rank sinks at its seam, another
	 * carries.
	 * @param {CanvasRenderingContext2D} g
	 * @param {import("../types.js").MapTold} map
	 */
	#drawRanks(g, map) {
		const ink = this.#inks;
		const swellPx = this.#keysTop - 4;
		const base = swellPx + 1;
		const most = Math.max(...map.zones.flatMap((zone) => zone.gains), 1e-6);
		map.zones.forEach((zone, index) => {
			const from = this.#edge(zone.low);
			const to = this.#edge(zone.high + 1);
			if (to <= 0 || from >= this.#width) return;
			const row = map.ranks.indexOf(zone.rank);
			const sounds = this.#zones.has(index);
			const pointed = this.#pointed.size > 0 &&
				zone.cycles.some((cycle) => cycle.beds.some((bed) => this.#pointed.has(bed.path)));
			g.beginPath();
			g.moveTo(from, base);
			zone.gains.forEach((gain, i) => {
				const x = (this.#edge(zone.low + i) + this.#edge(zone.low + i + 1)) / 2;
				const y = base - (swellPx - 8) * (gain / most);
				if (i === 0) g.lineTo(from + 1, y);
				g.lineTo(x, y);
				if (i === zone.gains.length - 1) g.lineTo(to - 1, y);
			});
			g.lineTo(to, base);
			g.closePath();
			g.fillStyle = sounds ? ink.strands[row % 2 === 0 ? 0 : 3] : ink.sunk;
			g.globalAlpha = sounds ? 0.8 : 0.75;
			g.fill();
			g.globalAlpha = 1;
			g.lineWidth = pointed ? 3 : 1.25;
			g.strokeStyle = pointed ? ink.mark : row % 2 === 0 ? ink.strands[0] : ink.strands[3];
			g.setLineDash(row % 2 === 0 ? [] : [4, 2.5]);
			g.stroke();
			g.setLineDash([]);
		});
		g.textAlign = "right";
		g.textBaseline = "alphabetic";
		g.font = `${Math.min(18, Math.max(11, 0.2 * swellPx))}px ${ink.sans}`;
		map.zones.forEach((zone, index) => { // names last: swells lie over each other
			const from = this.#edge(zone.low);
			const to = this.#edge(zone.high + 1);
			const title = zoneTitle(zone, map.keyNames);
			if (to <= 0 || to > this.#width + 1 || to - from < g.measureText(title).width + 14) return;
			const x = (from + to) / 2 + g.measureText(title).width / 2;
			g.fillStyle = this.#zones.has(index) ? ink.paper : ink.quiet;
			g.fillText(title, x, base - 5);
		});
	}

	/**
	 * The left edge of a key, as zones have it.
	 * @param {number} key
	 */
	#edge(key) {
		const first = this.#placed[0];
		if (!first) return 0;
		const found = this.#placed.find((placed) => placed.key === key);
		if (found) return found.black ? found.x + found.width * 0.25 : found.x;
		return key < first.key ? -20 : this.#width + 20;
	}
}

/**
 * @param {number} low
 * @param {number} high
 */
function whitesBetween(low, high) {
	let count = 0;
	for (let key = low; key <= high; key++) if (!isBlack(key)) count++;
	return count;
}
