// The chart of courses: a ring for each, which begins at the top where the chord began. Each bed is a strake of the
// ring that comes from within and goes out, so that two beds lap where they fade into each other. A float runs round
// with the sound. When all floats are at the top again, within the gate, the chord comes back.

import { calm } from "../element.js";
import { onInks, readInks } from "../inks.js";
import { held } from "../picture.js";
import { gainOf } from "./courses.js";

const turn = 2 * Math.PI;
const thickest = 0.075; // a ring, of the chart's radius
const gapPart = 0.55; // between two keys, of a ring
const holePart = 0.3; // of the radius, that stays free for what the chart says in words
const gates = [0.05, 0.02, 0.01]; // turns
const slide = 0.32; // of a ring's thickness: how far a strake goes out on its way
const wakeSec = 2.5;
const shiftMS = 350;

/**
 * @typedef {{course: import("./courses.js").Course, radius: number, thick: number}} Ring
 */

export class Rings {
	#back = document.createElement("canvas");
	#front = document.createElement("canvas");
	/** @type {Ring[]} */
	#rings = [];
	/** @type {{key: number, radius: number, room: number}[]} */
	#names = [];
	#inks = readInks();
	#size = 0;
	#signature = "";
	/** @type {Map<string, {zero: number, movedMS: number, from: number}>} */
	#zeros = new Map();
	/** @type {Set<string>} */
	#pointed = new Set();
	/** @type {string[]} */
	#keyNames = [];

	/** @param {HTMLElement} host */
	constructor(host) {
		this.#back.setAttribute("aria-hidden", "true");
		this.#front.setAttribute("aria-hidden", "true");
		host.prepend(this.#back, this.#front);
		new ResizeObserver(() => this.#fit(host)).observe(host);
		onInks(() => {
			this.#inks = readInks();
			this.#signature = "";
		});
	}

	/** @param {HTMLElement} host */
	#fit(host) {
		const size = Math.round(Math.min(host.clientWidth, host.clientHeight));
		if (size === 0) return;
		this.#size = size;
		const scale = Math.min(devicePixelRatio || 1, 2);
		for (const canvas of [this.#back, this.#front]) {
			canvas.width = canvas.height = Math.round(size * scale);
			canvas.style.width = canvas.style.height = `${size}px`;
			canvas.getContext("2d")?.setTransform(scale, 0, 0, scale, 0, 0);
		}
		this.#signature = "";
	}

	/**
	 * Draws the beds that are pointed at stronger than the others.
	 * @param {Set<string>} beds paths
	 */
	point(beds) {
		this.#pointed = beds;
		this.#signature = "";
	}

	/**
	 * Lays out and draws what stands still: rings, strakes, names.
	 * @param {import("./courses.js").Group[]} groups
	 * @param {import("../types.js").MapTold} map
	 * @param {number} nowMS
	 */
	lay(groups, map, nowMS) {
		this.#keyNames = map.keyNames;
		const radius = this.#size / 2 - 22;
		const count = groups.reduce((sum, group) => sum + group.courses.length, 0);
		const rows = count + gapPart * Math.max(groups.length - 1, 0);
		const thick = Math.min(thickest * radius, ((1 - holePart) * radius) / Math.max(rows, 1));
		this.#rings = [];
		this.#names = [];
		let out = radius;
		for (const group of [...groups].reverse()) {
			const room = thick * group.courses.length;
			this.#names.push({ key: group.key, radius: out - room / 2, room });
			for (const course of group.courses) {
				this.#rings.push({ course, radius: out - thick / 2, thick });
				out -= thick;
			}
			out -= gapPart * thick;
		}
		let moving = false;
		for (const { course } of this.#rings) moving = this.#follow(course, nowMS) || moving;
		for (const id of this.#zeros.keys()) {
			if (!this.#rings.some((ring) => ring.course.id === id)) this.#zeros.delete(id);
		}
		const signature = this.#rings.map(({ course: c }) =>
			`${c.id} ${c.state} ${Math.round(30 * Math.log10(gainOf(c) + 1e-4))} ` +
			c.shares.map((s) => Math.round((16 * s.gain) / (gainOf(c) || 1))).join()).join("|");
		if (signature !== this.#signature || moving) {
			this.#signature = signature;
			this.#drawBack();
		}
	}

	/**
	 * Turns a ring to its new beginning when the chord becomes another: within a moment, or at once for those who want
	 * calm.
	 * @param {import("./courses.js").Course} course
	 * @param {number} nowMS
	 */
	#follow(course, nowMS) {
		const known = this.#zeros.get(course.id);
		if (!known) {
			this.#zeros.set(course.id, { zero: course.zero, movedMS: -shiftMS, from: course.zero });
			return false;
		}
		const shift = course.zero - known.zero;
		if (Math.abs(shift - Math.round(shift)) > 0.002) {
			known.from = this.#zero(course, nowMS);
			known.zero = course.zero;
			known.movedMS = calm() ? -shiftMS : nowMS;
		}
		return nowMS - known.movedMS < shiftMS + 50;
	}

	/**
	 * The place that a ring has at the top now.
	 * @param {import("./courses.js").Course} course
	 * @param {number} nowMS
	 */
	#zero(course, nowMS) {
		const known = this.#zeros.get(course.id);
		if (!known) return course.zero;
		const way = Math.min((nowMS - known.movedMS) / shiftMS, 1);
		const eased = 1 - (1 - way) ** 3;
		const shift = known.zero - known.from;
		return known.from + eased * (shift - Math.round(shift));
	}

	#drawBack() {
		const g = this.#back.getContext("2d");
		if (!g || this.#size === 0) return;
		const middle = this.#size / 2;
		g.clearRect(0, 0, this.#size, this.#size);
		g.save();
		g.translate(middle, middle);
		this.#drawGate(g, middle - 22);
		const nowMS = performance.now();
		for (const ring of this.#rings) this.#drawRing(g, ring, nowMS);
		this.#drawNames(g);
		g.restore();
	}

	/**
	 * @param {CanvasRenderingContext2D} g
	 * @param {number} radius
	 */
	#drawGate(g, radius) {
		const ink = this.#inks;
		const inner = this.#innermost() - 6;
		for (const gate of gates) {
			g.beginPath();
			g.arc(0, 0, radius + 5, -turn / 4 - gate * turn, -turn / 4 + gate * turn);
			g.arc(0, 0, inner, -turn / 4 + gate * turn, -turn / 4 - gate * turn, true);
			g.closePath();
			g.globalAlpha = 0.07;
			g.fillStyle = ink.gate;
			g.fill();
		}
		g.globalAlpha = 1;
		g.strokeStyle = ink.gate;
		g.lineWidth = 1;
		for (const side of [-1, 1]) {
			const angle = -turn / 4 + side * gates[0] * turn;
			g.beginPath();
			g.moveTo((radius + 1) * Math.cos(angle), (radius + 1) * Math.sin(angle));
			g.lineTo((radius + 7) * Math.cos(angle), (radius + 7) * Math.sin(angle));
			g.stroke();
		}
		g.fillStyle = ink.gate;
		g.font = `${Math.min(15, Math.max(11, 0.016 * this.#size))}px ${ink.sans}`;
		g.textAlign = "center";
		g.textBaseline = "alphabetic";
		g.fillText("± 5 %", 0, -radius - 9);
		if (this.#rings.length === 0) {
			g.strokeStyle = ink.rule;
			for (const part of [1, 0.925]) {
				g.beginPath();
				g.arc(0, 0, radius * part, 0, turn);
				g.stroke();
			}
		}
	}

	#innermost() {
		const last = this.#rings.at(-1);
		return last ? last.radius - last.thick / 2 : (this.#size / 2 - 22) * 0.9;
	}

	/**
	 * @param {CanvasRenderingContext2D} g
	 * @param {Ring} ring
	 * @param {number} nowMS
	 */
	#drawRing(g, ring, nowMS) {
		const { course, radius, thick } = ring;
		const ink = this.#inks;
		const gain = gainOf(course);
		const strength = course.state === held.released ? 0.25 + 0.4 * course.level : 1;
		const loudness = Math.min(1, Math.max(0, 1 + Math.log10(gain + 1e-5) / 3)); // 0 at -60 dB
		g.strokeStyle = ink.rule;
		g.lineWidth = 1;
		g.beginPath();
		g.arc(0, 0, radius, 0, turn);
		g.stroke();
		const zero = this.#zero(course, nowMS);
		const sum = course.shares.reduce((all, share) => all + share.gain ** 2, 0) || 1;
		let from = 0; // of the strake's breadth: the softest layer lies inside
		const last = Math.max(...course.shares.map((share) => share.layer));
		for (const share of [...course.shares].sort((a, b) => a.layer - b.layer)) {
			const part = course.shares.length > 1 ? share.gain ** 2 / sum : 1;
			const tone = course.shares.length > 1 && share.layer < last ? 0.62 : 1;
			share.beds.forEach((bed, strand) => {
				const pointed = this.#pointed.size === 0 || this.#pointed.has(bed.path);
				g.globalAlpha = strength * (0.3 + 0.7 * loudness) * tone * (pointed ? 1 : 0.25);
				this.#drawStrake(g, radius, thick, bed, zero, strand, share.beds.length, from, from + part);
			});
			from += part;
		}
		g.globalAlpha = 1;
		const began = (course.began - zero) * turn - turn / 4;
		if (thick > 4) this.#drawNotch(g, radius + thick / 2, began, Math.min(thick * 0.3, 6));
	}

	/**
	 * Draws the part of a strake between two breadths. It tapers where it laps another.
	 * @param {CanvasRenderingContext2D} g
	 * @param {number} radius
	 * @param {number} thick
	 * @param {import("../types.js").BedTold} bed
	 * @param {number} zero
	 * @param {number} strand
	 * @param {number} beds in the cycle
	 * @param {number} low of its breadth, 0 to 1
	 * @param {number} high
	 */
	#drawStrake(g, radius, thick, bed, zero, strand, beds, low, high) {
		const long = bed.to - bed.from;
		const lap = Math.max((beds * long - 1) / beds, 1e-4);
		const steps = Math.max(24, Math.ceil(long * 120));
		const breadth = 0.62 * thick;
		/** @param {number} u along the strake @param {number} v across it */
		const at = (u, v) => {
			const edge = Math.min(1, (u * long) / lap, ((1 - u) * long) / lap);
			const full = Math.sin((Math.max(edge, 0) * Math.PI) / 2);
			const r = radius + slide * thick * (u - 0.5) + (v - 0.5) * breadth * full;
			const angle = (bed.from + u * long - zero) * turn - turn / 4;
			return /** @type {[number, number]} */ ([r * Math.cos(angle), r * Math.sin(angle)]);
		};
		g.beginPath();
		// The laps need finer steps than the rest.
		for (let i = 0; i <= steps; i++) g.lineTo(...at(bend(i / steps), high));
		for (let i = steps; i >= 0; i--) g.lineTo(...at(bend(i / steps), low));
		g.closePath();
		g.fillStyle = this.#inks.strands[strand % this.#inks.strands.length];
		g.fill();
		// not by colour alone: every other strand has a seam along it
		if (strand % 2 === 1 && thick > 5 && low === 0) {
			g.beginPath();
			for (let i = 2; i <= steps - 2; i++) g.lineTo(...at(i / steps, 0.5));
			g.strokeStyle = this.#inks.paper;
			g.lineWidth = Math.max(1, thick * 0.07);
			g.setLineDash([thick * 0.5, thick * 0.35]);
			g.stroke();
			g.setLineDash([]);
		}
	}

	/**
	 * Marks where a note began.
	 * @param {CanvasRenderingContext2D} g
	 * @param {number} radius
	 * @param {number} angle
	 * @param {number} size
	 */
	#drawNotch(g, radius, angle, size) {
		g.save();
		g.rotate(angle);
		g.beginPath();
		g.moveTo(radius - size, 0);
		g.lineTo(radius + 0.5, -size * 0.6);
		g.lineTo(radius + 0.5, size * 0.6);
		g.closePath();
		g.fillStyle = this.#inks.text;
		g.fill();
		g.restore();
	}

	/** @param {CanvasRenderingContext2D} g */
	#drawNames(g) {
		const ink = this.#inks;
		let free = Infinity;
		g.textAlign = "center";
		g.textBaseline = "middle";
		for (const { key, radius, room } of this.#names) {
			const size = Math.min(Math.max(15, 0.02 * this.#size), Math.max(10, room * 0.5));
			if (radius + size / 2 > free) continue;
			free = radius - size / 2 - 2;
			g.font = `600 ${size}px ${ink.sans}`;
			const name = this.#keyNames[key] ?? String(key);
			const wide = g.measureText(name).width + 8;
			g.fillStyle = ink.paper;
			g.fillRect(-wide / 2, radius - size * 0.62, wide, size * 1.24);
			g.fillStyle = ink.text;
			g.fillText(name, 0, radius + 0.5);
		}
	}

	/**
	 * Draws what moves.
	 * @param {number} sinceFrames since the picture that was laid
	 * @param {number} rateHz
	 * @param {number} nowMS
	 */
	draw(sinceFrames, rateHz, nowMS) {
		const g = this.#front.getContext("2d");
		if (!g || this.#size === 0) return;
		g.clearRect(0, 0, this.#size, this.#size);
		g.save();
		g.translate(this.#size / 2, this.#size / 2);
		const still = calm();
		const [wakes, halos, floats, near] = [new Path2D(), new Path2D(), new Path2D(), new Path2D()];
		let thinnest = Infinity;
		for (const { course, radius, thick } of this.#rings) {
			const turns = course.played + sinceFrames / rateHz / course.turnSec;
			const place = course.start + turns - this.#zero(course, nowMS);
			const angle = place * turn - turn / 4;
			const [x, y] = [radius * Math.cos(angle), radius * Math.sin(angle)];
			const size = Math.max(1.6, thick * (0.16 + 0.2 * course.level));
			thinnest = thick;
			if (!still && course.state !== held.released) {
				const way = Math.min(wakeSec / course.turnSec, turns) * turn;
				wakes.moveTo(radius * Math.cos(angle - way), radius * Math.sin(angle - way));
				wakes.arc(0, 0, radius, angle - way, angle);
			}
			disc(halos, x, y, size + Math.max(1, thick * 0.07));
			disc(Math.abs(place - Math.round(place)) <= gates[0] ? near : floats, x, y, size);
		}
		g.lineWidth = Math.max(1, thinnest * 0.12);
		g.strokeStyle = this.#inks.text;
		g.globalAlpha = 0.6;
		g.stroke(wakes);
		g.globalAlpha = 1;
		for (const [path, ink] of /** @type {[Path2D, string][]} */ ([[halos, this.#inks.paper],
			[floats, this.#inks.text], [near, this.#inks.gate]])) {
			g.fillStyle = ink;
			g.fill(path);
		}
		g.restore();
	}
}

/**
 * @param {Path2D} path
 * @param {number} x
 * @param {number} y
 * @param {number} size its radius
 */
function disc(path, x, y, size) {
	path.moveTo(x + size, y);
	path.arc(x, y, size, 0, turn);
}

/**
 * Steps along a strake, finer at its ends.
 * @param {number} x 0 to 1
 */
function bend(x) {
	return 0.5 - 0.5 * Math.cos(Math.PI * x);
}
