// When the chord comes back, how near it has come, how long no repeat has been.

import { element, write } from "../element.js";
import { clock, percent } from "../words.js";

export class Returns {
	/** @type {import("../types.js").ReturnsTold | null} */
	#told = null;
	#middle;
	#since = element("p", { class: "since" });
	#away = element("p", { class: "away-now" });
	#rows = element("tbody");
	/** @type {HTMLTableCellElement[]} */
	#cells = [];
	#nearest = element("p", { class: "nearest" });

	/**
	 * @param {HTMLElement} host
	 * @param {HTMLElement} middle of the chart, for what is read most
	 */
	constructor(host, middle) {
		this.#middle = middle;
		middle.append(this.#since, this.#away);
		host.append(
			element("h2", {}, "When this chord comes back"),
			element("table", { class: "returns", "aria-label": "When this chord comes back" },
				this.#rows),
			this.#nearest);
	}

	/** @param {import("../types.js").ReturnsTold} told */
	tell(told) {
		this.#told = told;
		this.#build(told.cycles === 0 ? [] : told.returns, told.horizonSec);
	}

	/**
	 * @param {import("../types.js").ReturnTold[]} returns
	 * @param {number} horizonSec
	 */
	#build(returns, horizonSec) {
		this.#cells = returns.map((one) => element("td", {},
			one.afterSec === null ? `not in ${Math.round(horizonSec / 3600)} h` : ""));
		this.#rows.replaceChildren(
			element("tr", {}, ...returns.map((one) => element("th", { scope: "col" },
				`within ${Math.round(100 * one.withinTurns)} %`))),
			element("tr", {}, ...this.#cells));
	}

	/**
	 * @param {import("./courses.js").Group[]} groups
	 * @param {number} sec since the chord began; NaN without one
	 */
	show(groups, sec) {
		const told = this.#told;
		if (!told || told.cycles === 0 || Number.isNaN(sec)) {
			write(this.#since, "");
			write(this.#away, groups.length === 0 ? "Nothing sounds" : "");
			write(this.#nearest, "Hold a chord: all its courses begin at the top.");
			this.#build([], 0);
			return;
		}
		let away = 0;
		for (const group of groups) {
			for (const course of group.courses) {
				const place = course.start + course.played - course.zero;
				away = Math.max(away, Math.abs(place - Math.round(place)));
			}
		}
		write(this.#since, clock(sec));
		const soon = told.returns.every((one) => one.afterSec === null || one.afterSec > sec);
		write(this.#away, `${percent(away)} away`);
		if (this.#cells.length === 0) this.#build(told.returns, told.horizonSec);
		this.#cells.forEach((cell, i) => {
			const after = told.returns[i]?.afterSec;
			if (after === null || after === undefined) return;
			write(cell, after > sec ? `in ${clock(after - sec + 1)}` : `was at ${clock(after)}`);
			cell.classList.toggle("past", after <= sec);
		});
		const nearest = told.nearing.filter((one) => one.sec <= sec).at(-1);
		const repeat = soon ? `No repeat for ${clock(sec)}` : "It has been back";
		const next = told.nearing.find((one) => one.sec > sec);
		write(this.#nearest, repeat +
			(nearest ? `; nearest so far ${percent(nearest.worstTurns)}, at ${clock(nearest.sec)}` : "") +
			(next ? `. Nearer at ${clock(next.sec)}: ${percent(next.worstTurns)}.` : "."));
		this.#middle.classList.toggle("back", away <= 0.05 && sec > 1);
	}
}
