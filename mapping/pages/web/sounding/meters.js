// The level, the ceiling, and how the player does.

import { element, write } from "../element.js";
import { decibels } from "../words.js";

const lowestDB = -60;
const ceilingDB = -1; // dBTP
const heldMS = 1500;

export class Meters {
	#bar = element("div", { class: "level", "aria-hidden": "true" }, element("i", { class: "now" }),
		element("i", { class: "peak" }), element("i", { class: "ceiling" }));
	#level = element("dd");
	#ceiling = element("dd");
	#voices = element("dd");
	#load = element("dd");
	#faults = element("dd");
	#nowDB = -120;
	#peakDB = -120;
	#reductionDB = 0;
	#peakMS = 0;
	#reductionMS = 0;
	#spokenMS = 0;
	#polyphony = 0;

	/**
	 * @param {HTMLElement} host
	 * @param {import("../types.js").Link} link
	 */
	constructor(host, link) {
		const reset = element("button", { type: "button", class: "small" }, "Count from zero");
		reset.addEventListener("click", () => link.send({ do: "counts" }));
		const row = (/** @type {string} */ title, /** @type {HTMLElement} */ value) =>
			element("div", {}, element("dt", {}, title), value);
		host.append(element("h2", {}, "What leaves the player"), this.#bar,
			element("dl", {}, row("True peak", this.#level), row("Ceiling", this.#ceiling),
				row("Voices", this.#voices), row("Load", this.#load), row("Faults", this.#faults)));
	}

	/** @param {import("../types.js").MapTold} map */
	setMap(map) {
		this.#polyphony = map.polyphony;
	}

	/**
	 * Takes in a picture: no peak is missed between two that are shown.
	 * @param {import("../picture.js").Picture} picture
	 */
	hear(picture) {
		this.#nowDB = Math.max(this.#nowDB, picture.truePeakDB);
	}

	/**
	 * @param {import("../picture.js").Picture} picture
	 * @param {number} nowMS
	 */
	show(picture, nowMS) {
		const nowDB = this.#nowDB;
		this.#nowDB = -120;
		if (nowDB >= this.#peakDB || nowMS - this.#peakMS > heldMS) [this.#peakDB, this.#peakMS] = [nowDB, nowMS];
		if (picture.reductionDB >= this.#reductionDB || nowMS - this.#reductionMS > heldMS) {
			[this.#reductionDB, this.#reductionMS] = [picture.reductionDB, nowMS];
		}
		const part = (/** @type {number} */ db) => String(Math.min(1, Math.max(0, 1 - db / lowestDB)));
		this.#bar.style.setProperty("--now", part(nowDB));
		this.#bar.style.setProperty("--peak", part(this.#peakDB));
		this.#bar.style.setProperty("--ceiling", part(ceilingDB));
		if (nowMS - this.#spokenMS < 150) return;
		this.#spokenMS = nowMS;
		write(this.#level, this.#peakDB > -100 ? `${decibels(this.#peakDB).replace("+", "")}TP` : "silence");
		write(this.#ceiling, this.#reductionDB >= 0.05 ? `−${this.#reductionDB.toFixed(1)} dB` : "at rest");
		write(this.#voices, `${picture.cycles.length} of ${this.#polyphony}`);
		const { load, worstLoad } = picture;
		write(this.#load, worstLoad > load ? `${load} to ${worstLoad} %` : `${load} %`);
		const faults = [[picture.underruns, "underrun"], [picture.misses, "late read"],
			[picture.readErrors, "read error"], [picture.stolen, "note cut short"]]
			.filter(([count]) => Number(count) > 0)
			.map(([count, name]) => `${count} ${name}${count === 1 || name === "note cut short" ? "" : "s"}`);
		write(this.#faults, faults.length > 0 ? faults.join(", ") : "no underruns, no late reads");
		this.#faults.classList.toggle("bad", faults.length > 0);
	}
}
