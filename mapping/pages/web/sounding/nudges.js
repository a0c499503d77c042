// Nudging a zone: its start, level, tuning and silence are tried on what sounds, taken back, and kept when somebody
// says so.

import { element, say, write } from "../element.js";
import { decibels, zoneTitle } from "../words.js";
import { Slider } from "./hand.js";

/** @typedef {{start: number, level_db: number, tune_cents: number, silent: boolean}} Nudge */

const ownMS = 700; // for so long after a hand moved something here, the player's word does not move it back
const steps = { start: 0.01, level: 0.5, cents: 1 };

export class Nudges {
	#link;
	/** @type {import("../types.js").MapTold | null} */
	#map = null;
	#zone = -1;
	#movedMS = -Infinity;
	#chosen = false; // by a hand: until then, it is one that sounds
	/** @type {number[]} */
	#tried = [];
	#select = element("select", { "aria-label": "Zone to nudge" });
	#silent = element("button", { type: "button", "aria-pressed": "false" }, "Zone silent");
	#back = element("button", { type: "button", disabled: true }, "Take back");
	#keep = element("button", { type: "button", disabled: true }, "Keep in map.toml");
	#state = element("p", { class: "where" });
	#count = element("span", { class: "count" });
	#start;
	#level;
	#cents;
	/** @type {Nudge} as the hand has it, from the moment it moves until the player has told the zone anew */
	#to = { start: 0, level_db: 0, tune_cents: 0, silent: false };

	/**
	 * @param {HTMLElement} host
	 * @param {import("../types.js").Link} link
	 */
	constructor(host, link) {
		this.#link = link;
		const settle = () => this.#send(true);
		this.#start = new Slider("Start", { min: 0, max: 1 - steps.start, step: steps.start },
			(start) => this.#move({ start }), settle);
		this.#level = new Slider("Level", { min: -24, max: 12, step: steps.level },
			(level_db) => this.#move({ level_db }), settle);
		this.#cents = new Slider("Tuning", { min: -100, max: 100, step: steps.cents },
			(tune_cents) => this.#move({ tune_cents }), settle);
		const titled = /** @type {const} */ (
			[[this.#start, "start"], [this.#level, "level"], [this.#cents, "tuning"]]);
		for (const [slider, title] of titled) {
			slider.input.setAttribute("aria-label", `Zone ${title}`);
		}
		this.#silent.addEventListener("click", () => {
			this.#to.silent = !this.#to.silent;
			this.#send(true);
		});
		this.#select.addEventListener("change", () => {
			this.#chosen = true;
			this.#take(Number(this.#select.value));
		});
		this.#back.addEventListener("click", () => {
			this.#movedMS = -Infinity;
			link.send({ do: "back" });
		});
		this.#keep.addEventListener("click", () => link.send({ do: "keep" }));
		host.append(element("details", { class: "nudges" }, element("summary", {}, "Nudge a zone", this.#count),
			element("div", { class: "closer-top" }, this.#select, this.#silent),
			element("div", { class: "ways" }, this.#start.element, this.#level.element, this.#cents.element),
			element("div", { class: "closer-top" }, this.#back, this.#keep), this.#state));
		link.on("nudges", (told) => this.#tellState(told));
		link.on("nudged", (told) => this.#tellNudged(told));
	}

	/** @param {import("../types.js").MapTold} map */
	setMap(map) {
		const same = map.number === this.#map?.number;
		this.#map = map;
		if (!same) {
			this.#select.replaceChildren(...map.zones.map(
				(zone, i) => element("option", { value: i }, zoneTitle(zone, map.keyNames))));
			if (this.#zone >= map.zones.length) this.#chosen = false;
			this.#take(this.#chosen ? this.#zone : 0);
		}
		this.#show();
		this.#mark();
	}

	/**
	 * Offers a zone that sounds, unless a hand has chosen one.
	 * @param {import("./courses.js").Group[]} groups
	 */
	show(groups) {
		const sounds = groups[0]?.courses[0]?.zone;
		if (!this.#chosen && sounds !== undefined && sounds !== this.#zone && !this.#busy()) this.#take(sounds);
	}

	/** @returns {boolean} whether a hand is at one of the controls */
	#busy() {
		return this.#select.closest("details")?.contains(document.activeElement) ?? false;
	}

	/** @param {number} zone */
	#take(zone) {
		this.#zone = zone;
		this.#movedMS = -Infinity;
		this.#select.value = String(zone);
		for (const slider of [this.#start, this.#level, this.#cents]) slider.let();
		this.#show();
	}

	/** Shows the zone as it plays, once the hand rests. */
	#show() {
		const zone = this.#map?.zones[this.#zone];
		if (!zone) return;
		const restsMS = this.#movedMS + ownMS - performance.now();
		if (restsMS > 0) {
			setTimeout(() => this.#show(), restsMS);
			return;
		}
		this.#to = { start: zone.start, level_db: zone.level, tune_cents: zone.cents, silent: zone.silent };
		this.#words();
	}

	#words() {
		const { start, level_db, tune_cents, silent } = this.#to;
		this.#start.show(start, `${Math.round(100 * start)} % of a turn`);
		this.#level.show(level_db, decibels(level_db));
		const cents = Math.round(tune_cents * 10) / 10;
		this.#cents.show(tune_cents, `${cents < 0 ? "−" : cents > 0 ? "+" : ""}${Math.abs(cents)} cents`);
		this.#silent.setAttribute("aria-pressed", String(silent));
	}

	/** @param {Partial<Nudge>} some */
	#move(some) {
		this.#chosen = true;
		Object.assign(this.#to, some);
		this.#words();
		this.#send(false);
	}

	/** @param {boolean} settled */
	#send(settled) {
		this.#chosen = true;
		this.#movedMS = performance.now();
		this.#words();
		this.#link.send({ do: "nudge", zone: this.#zone, to: this.#to, settled });
	}

	/** @param {import("../types.js").NudgesTold} told */
	#tellState(told) {
		this.#tried = told.tried;
		this.#back.disabled = told.steps === 0;
		this.#keep.disabled = told.tried.length === 0;
		const count = told.tried.length;
		write(this.#count, count === 0 ? "" : `: ${count} tried`);
		write(this.#state, count === 0 ? "Nothing is tried: all zones are as in map.toml."
			: `${count} ${count === 1 ? "zone is" : "zones are"} tried; map.toml has nothing of it yet.`);
		this.#mark();
	}

	/** Tells in the list which zones are tried. */
	#mark() {
		const map = this.#map;
		if (!map) return;
		[...this.#select.options].forEach((option, i) => {
			const zone = map.zones[i];
			if (zone) write(option, zoneTitle(zone, map.keyNames) + (this.#tried.includes(i) ? ", tried" : ""));
		});
	}

	/** @param {import("../types.js").NudgedTold} told */
	#tellNudged(told) {
		if (told.error) {
			write(this.#state, told.error);
			say(told.error);
		} else if (told.what === "keep") {
			say(`${told.zones} ${told.zones === 1 ? "zone" : "zones"} kept in ${told.file}`);
		} else if (told.what === "back") {
			say(`Taken back: ${told.zone}`);
		}
	}
}
