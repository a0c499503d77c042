// Who is heard now: the takes that stand out, the loudest first, coming and going as they do in the sound.

import { element, write } from "../element.js";
import { takeTitle } from "../words.js";

const leavingMS = 1500;
const fullDB = 20; // standing out by so much, a name's line is full

/**
 * @typedef {{row: HTMLLIElement, name: HTMLElement, who: HTMLElement, line: HTMLElement, take: string,
 *   gone: number}} Entry gone is the timer that takes a leaving name away, 0 while it is heard
 */

export class Heard {
	/** @type {Map<string, Entry>} */
	#entries = new Map();
	#list = element("ol", { class: "names" });
	#note = element("p", { class: "note" });
	#count = element("span", { class: "count" });
	#where = element("p", { class: "where", role: "status" });
	#link;
	/** @type {(beds: Set<string>) => void} */
	#point;
	/** @type {(take: string) => void} */
	#choose;
	/** @type {import("../types.js").MapTold | null} */
	#map = null;
	#pointed = "";

	/**
	 * @param {HTMLElement} host
	 * @param {import("../types.js").Link} link
	 * @param {(beds: Set<string>) => void} point shows where a take is, as paths of beds; an empty set ends it
	 * @param {(take: string) => void} choose a take was chosen to be listened to
	 */
	constructor(host, link, point, choose) {
		this.#link = link;
		this.#point = point;
		this.#choose = choose;
		host.append(element("h2", {}, "Who is heard now ", this.#count), this.#list, this.#note, this.#where);
		link.on("heard", (told) => this.#tell(told));
		link.on("where", (told) => this.#tellWhere(told));
	}

	/** @param {import("../types.js").MapTold} map */
	setMap(map) {
		this.#map = map;
	}

	/** @param {import("../types.js").HeardTold} told */
	#tell(told) {
		write(this.#note, told.error ? `Nobody can be named: ${told.error}` :
			told.reading ? "Reading who is in which bed …" :
			told.takes.length === 0 ? "" : told.unknown.length > 0 ?
				`Of ${told.unknown.length} beds, nothing is known of who is in them.` : "");
		write(this.#count, told.takes.length > 0 ? String(told.takes.length) : "");
		const here = new Set(told.takes.map((take) => take.name));
		for (const [name, entry] of this.#entries) {
			if (!here.has(name) && entry.gone === 0) {
				entry.row.classList.add("leaving");
				entry.line.style.setProperty("--part", "0");
				entry.row.dataset.size = "low";
				entry.row.style.order = "999";
				entry.gone = setTimeout(() => {
					entry.row.remove();
					this.#entries.delete(name);
				}, leavingMS);
			}
		}
		const most = Math.max(1e-9, ...told.takes.map((take) => take.sones));
		told.takes.forEach((take, place) => {
			const entry = this.#entries.get(take.name) ?? this.#add(take);
			if (entry.gone !== 0) {
				clearTimeout(entry.gone);
				entry.gone = 0;
				entry.row.classList.remove("leaving");
			}
			const size = take.sones > 0.55 * most ? "loud" : take.sones > 0.2 * most ? "mid" : "low";
			if (entry.row.dataset.size !== size) entry.row.dataset.size = size;
			entry.line.style.setProperty("--part", String(Math.min(1, Math.max(0.02, take.byDB / fullDB))));
			entry.row.title = `stands out by ${take.byDB.toFixed(1)} dB`;
			if (entry.row.style.order !== String(place)) entry.row.style.order = String(place);
		});
		this.#sort(told.takes.map((take) => take.name));
	}

	/**
	 * Keeps the order of the elements, which keys and screen readers follow, near that of the loudness, unless a name
	 * is in use.
	 * @param {string[]} names
	 */
	#sort(names) {
		if (this.#list.contains(document.activeElement)) return;
		let before = null;
		for (const name of [...names].reverse()) {
			const row = this.#entries.get(name)?.row;
			if (!row) continue;
			if (row.nextSibling !== before) this.#list.insertBefore(row, before);
			before = row;
		}
	}

	/** @param {import("../types.js").TakeTold} take */
	#add(take) {
		const name = element("span", { class: "name" }, take.title || takeTitle(take.name));
		const who = element("span", { class: "who" }, take.who);
		const line = element("span", { class: "line", "aria-hidden": "true" });
		const button = element("button", { type: "button" }, name, " ", who, line);
		const row = element("li", {}, button);
		const begin = () => this.#ask(take.name);
		const end = () => this.#ask("");
		button.addEventListener("click", () => this.#choose(take.name));
		button.addEventListener("pointerenter", begin);
		button.addEventListener("pointerleave", end);
		button.addEventListener("focus", begin);
		button.addEventListener("blur", end);
		const entry = { row, name, who, line, take: take.name, gone: 0 };
		this.#entries.set(take.name, entry);
		this.#list.append(row);
		return entry;
	}

	/** @param {string} take "" for none */
	#ask(take) {
		this.#pointed = take;
		if (take) this.#link.send({ do: "where", take });
		else {
			write(this.#where, "");
			this.#point(new Set());
		}
	}

	/** @param {import("../types.js").WhereTold} told */
	#tellWhere(told) {
		if (told.take !== this.#pointed || !this.#map) return;
		const map = this.#map;
		const beds = new Set(told.beds);
		const roots = new Set();
		for (const zone of map.zones) {
			const holds = zone.cycles.some((cycle) => cycle.beds.some((bed) => beds.has(bed.path)));
			if (holds) roots.add(map.keyNames[zone.root]);
		}
		const name = this.#entries.get(told.take)?.name.textContent ?? takeTitle(told.take);
		const count = `${beds.size} ${beds.size === 1 ? "bed" : "beds"}`;
		write(this.#where, `${name} is in ${count}: ${[...roots].join(", ")}.`);
		this.#point(beds);
	}
}
