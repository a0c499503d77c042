// The courses in words: for eyes that read, and for those who listen.

import { element, write } from "../element.js";
import { levelDB, zoneTitle } from "../words.js";
import { gainOf, leading } from "./courses.js";

const states = ["down", "pedal", "released", "fading"];

export class CourseTable {
	#body = element("tbody");
	#empty = element("p", { class: "note" }, "Nothing sounds. Press a key below, or on any MIDI keyboard.");
	#table;
	/** @type {Map<string, HTMLTableRowElement>} */
	#rows = new Map();

	/** @param {HTMLElement} host */
	constructor(host) {
		const head = (/** @type {string} */ title) => element("th", { scope: "col" }, title);
		this.#table = element("table", { class: "courses", "aria-label": "Courses" },
			element("thead", {}, element("tr", {}, head("Key"), head("Root"), head("Turn"),
				head("Leads"), head("At"), head("Level"))), this.#body);
		host.append(element("h2", {}, "Courses"), this.#empty,
			element("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "Courses" }, this.#table));
	}

	/**
	 * @param {import("./courses.js").Group[]} groups
	 * @param {import("../types.js").MapTold} map
	 */
	show(groups, map) {
		const wanted = groups.flatMap((group) => group.courses);
		this.#empty.hidden = wanted.length > 0;
		this.#table.hidden = wanted.length === 0;
		const ids = new Set(wanted.map((course) => course.id));
		for (const [id, row] of this.#rows) {
			if (!ids.has(id)) {
				row.remove();
				this.#rows.delete(id);
			}
		}
		let before = /** @type {HTMLTableRowElement | null} */ (null);
		for (const course of [...wanted].reverse()) {
			let row = this.#rows.get(course.id);
			if (!row) {
				row = element("tr", {}, element("th", { scope: "row" }),
					...Array.from({ length: 5 }, () => element("td")));
				this.#rows.set(course.id, row);
			}
			if (row.nextSibling !== before || !row.parentNode) this.#body.insertBefore(row, before);
			before = row;
		}
		let lastKey = -1;
		for (const course of wanted) {
			const row = /** @type {HTMLTableRowElement} */ (this.#rows.get(course.id));
			const zone = map.zones[course.zone];
			const place = course.start + course.played;
			const bed = leading(course, place);
			const texts = [course.key === lastKey ? "" : map.keyNames[course.key],
				zone ? zoneTitle(zone, map.keyNames) : "", `${course.turnSec.toFixed(1)} s`, map.strands[bed] ?? "",
				`${String(Math.floor(100 * (place - Math.floor(place)))).padStart(2, "\u2007")} %`,
				course.state > 1 ? states[course.state] :
					`${levelDB(gainOf(course)).toFixed(0).replace("-", "−")} dB`];
			texts.forEach((text, i) => write(row.cells[i], text));
			row.classList.toggle("first", course.key !== lastKey);
			lastKey = course.key;
		}
	}
}
