// A take listened to within its bed: alone, before the rest, or silent, while the cycles turn on.

import { element, say, write } from "../element.js";
import { decibels, takeTitle } from "../words.js";

const ways = /** @type {const} */ ([["alone", "alone"], ["before", "others down"], ["silent", "silent"]]);

export class Apart {
	#link;
	#tell;
	/** @type {import("../types.js").MapTold | null} */
	#map = null;
	#take = "";
	/** @type {import("../types.js").ApartTold[]} */
	#told = [];
	#section = element("section", { class: "apart", "aria-label": "A take within its bed", hidden: true });
	#title = element("b");
	#bed = element("select", { "aria-label": "Bed" });
	#matched = element("button", { type: "button", "aria-pressed": "true" }, "as loud as the bed");
	/** @type {Map<string, HTMLButtonElement>} */
	#ways = new Map();
	#list = element("ul", { class: "aparts" });

	/**
	 * @param {HTMLElement} host
	 * @param {import("../types.js").Link} link
	 * @param {(some: boolean) => void} tell whether anything is told apart
	 */
	constructor(host, link, tell) {
		this.#link = link;
		this.#tell = tell;
		const members = element("span",
			{ class: "members", role: "group", "aria-label": "How the take sounds in its bed" });
		for (const [how, title] of ways) {
			const button = element("button", { type: "button", "aria-pressed": "false" }, title);
			const pressed = () => button.getAttribute("aria-pressed") === "true";
			button.addEventListener("click", () => this.#ask(pressed() ? "" : how));
			this.#ways.set(how, button);
			members.append(button);
		}
		this.#matched.addEventListener("click", () => {
			this.#matched.setAttribute("aria-pressed", String(!this.#isMatched()));
			const now = this.#now();
			if (now) this.#ask(now.how);
		});
		members.append(this.#matched);
		this.#bed.addEventListener("change", () => this.#mark());
		this.#section.append(element("div", { class: "facet" }, element("span", { class: "facet-name" }, "Take"),
			element("span", { class: "members" }, this.#title, this.#bed)),
		element("div", { class: "facet" }, element("span", { class: "facet-name" }), members), this.#list);
		host.append(this.#section);
		link.on("where", (told) => this.#tellWhere(told));
		link.on("aparts", (told) => this.#tellAparts(told));
	}

	/** @param {import("../types.js").MapTold} map */
	setMap(map) {
		this.#map = map;
	}

	/** @param {string} take chosen among those that are heard */
	choose(take) {
		this.#take = take;
		write(this.#title, takeTitle(take));
		this.#section.hidden = false;
		this.#bed.replaceChildren();
		this.#link.send({ do: "where", take });
		say(`${takeTitle(take)}: choose how it sounds in its bed`);
	}

	/** @param {import("../types.js").WhereTold} told */
	#tellWhere(told) {
		if (told.take !== this.#take || this.#bed.options.length > 0) return;
		this.#bed.replaceChildren(...told.beds.map((bed) => element("option", { value: bed }, this.#bedTitle(bed))));
		this.#mark();
	}

	/**
	 * A bed by its layer, strand and root, as the map has it.
	 * @param {string} path
	 */
	#bedTitle(path) {
		for (const zone of this.#map?.zones ?? []) {
			for (const [layer, cycle] of zone.cycles.entries()) {
				const strand = cycle.beds.findIndex((bed) => bed.path === path);
				if (strand < 0) continue;
				return `${this.#map?.layers[layer]} ${this.#map?.strands[strand]} ${this.#map?.keyNames[zone.root]}`;
			}
		}
		return path;
	}

	#isMatched() {
		return this.#matched.getAttribute("aria-pressed") === "true";
	}

	#now() {
		return this.#told.find((one) => one.bed === this.#bed.value && one.take === this.#take && !one.error);
	}

	/** @param {string} how "" for the whole bed */
	#ask(how) {
		const bed = this.#bed.value;
		if (bed) this.#link.send({ do: "apart", take: this.#take, bed, how, matched: this.#isMatched() });
	}

	#mark() {
		const now = this.#now();
		for (const [how, button] of this.#ways) button.setAttribute("aria-pressed", String(now?.how === how));
	}

	/** @param {import("../types.js").ApartTold[]} told */
	#tellAparts(told) {
		for (const one of told) {
			const before = this.#told.find((other) => other.bed === one.bed);
			if (before?.working && !one.working) say(this.#words(one));
		}
		this.#told = told;
		if (told.length > 0) this.#section.hidden = false;
		this.#list.replaceChildren(...told.map((one) => {
			const label = `${this.#bedTitle(one.bed)} whole again`;
			const whole = element("button", { type: "button", "aria-label": label }, "whole again");
			const asked = { do: "apart", take: one.take, bed: one.bed, how: "", matched: false };
			whole.addEventListener("click", () => this.#link.send(asked));
			return element("li", {}, element("span", {}, this.#words(one)), " ", whole);
		}));
		this.#mark();
		this.#tell(told.length > 0);
	}

	/** @param {import("../types.js").ApartTold} one */
	#words(one) {
		const take = takeTitle(one.take);
		const bed = this.#bedTitle(one.bed);
		if (one.error) return `${take} in ${bed}: ${one.error}`;
		/** @type {Record<string, string>} */
		const whats = { alone: `${take} alone`, before: `${take} before the rest`, silent: `all but ${take}` };
		const what = whats[one.how] ?? one.how;
		if (one.working) return `${what} in ${bed}: being laid out …`;
		const level = one.matched ? `${decibels(one.gainDB)} to be as loud as the bed` : "at its own level";
		return `${what} in ${bed}, ${level}`;
	}
}
