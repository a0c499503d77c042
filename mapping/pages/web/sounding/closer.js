// Listening closer: layers, strands, ranks and zones alone or silent, beds dry, two maps against each other.

import { element, write } from "../element.js";
import { zoneTitle } from "../words.js";

/** @typedef {{facet: string, members: string[]}} PickTold */

const titles = { layer: "Layers", strand: "Strands", rank: "Ranks", zone: "Zones" };

export class Closer {
	#link;
	/** @type {"alone" | "silent"} what pressing a member does */
	#how = "alone";
	/** @type {import("../types.js").MapTold | null} */
	#map = null;
	/** @type {PickTold[]} */
	#picks = [];
	#zones = "";
	#apart = false;
	#rows = element("div", { class: "facets" });
	#all = element("button", { type: "button" }, "All sound");
	/** @type {HTMLButtonElement} */
	#dry;
	#maps = element("div", { class: "maps", hidden: true });
	#mapsText = element("p", { role: "status" });
	/** @type {Map<string, HTMLButtonElement>} */
	#members = new Map();

	/**
	 * @param {HTMLElement} host
	 * @param {import("../types.js").Link} link
	 * @param {(blind: boolean) => void} hide hides what would tell which of two maps plays
	 */
	constructor(host, link, hide) {
		this.#link = link;
		const how = element("div", { class: "how", role: "group", "aria-label": "What pressing a part does" });
		for (const one of /** @type {const} */ (["alone", "silent"])) {
			const button = element("button", { type: "button", "aria-pressed": String(one === this.#how) }, one);
			button.addEventListener("click", () => {
				this.#how = one;
				for (const other of how.children) other.setAttribute("aria-pressed", String(other === button));
			});
			how.append(button);
		}
		const dry = element("button", { type: "button" }, "next under the last key, dry");
		dry.addEventListener("click", () => link.send({ do: "dry" }));
		this.#all.addEventListener("click", () => link.send({ do: "all" }));
		const other = element("button", { type: "button" }, "The other map");
		other.addEventListener("click", () => link.send({ do: "other" }));
		const tell = element("button", { type: "button" }, "Judge blind, or tell");
		tell.addEventListener("click", () => link.send({ do: "tell" }));
		this.#maps.append(this.#mapsText, other, tell);
		host.append(element("div", { class: "closer-top" }, element("h2", {}, "Listen closer"), how, this.#all),
			this.#maps, this.#rows);
		this.#dry = dry;
		link.on("picks", (told) => {
			this.#picks = told;
			this.#mark();
		});
		link.on("maps", (told) => {
			this.#maps.hidden = !told.two;
			write(this.#mapsText, told.text);
			hide(told.blind);
		});
	}

	/** @param {import("../types.js").MapTold} map */
	setMap(map) {
		const same = map.number === this.#map?.number; // but nudged
		this.#map = map;
		if (same) return;
		this.#zones = "";
		this.#build([]);
	}

	/**
	 * Offers the zones that sound.
	 * @param {import("./courses.js").Group[]} groups
	 */
	show(groups) {
		const zones = new Set(groups.flatMap((group) => group.courses.map((course) => course.zone)));
		this.#picks.find((one) => one.facet === "zone")?.members.forEach((how, zone) => how && zones.add(zone));
		const sorted = [...zones].sort((a, b) => a - b);
		if (sorted.join() !== this.#zones && !this.#rows.contains(document.activeElement)) {
			this.#zones = sorted.join();
			this.#build(sorted);
		}
	}

	/** @param {number[]} zones */
	#build(zones) {
		const map = this.#map;
		if (!map) return;
		this.#members.clear();
		const row = (/** @type {keyof typeof titles} */ facet, /** @type {[number, string][]} */ members) => {
			const buttons = members.map(([member, title]) => {
				const button = element("button", { type: "button", "aria-pressed": "false" }, title);
				button.addEventListener("click", () => this.#press(facet, member));
				this.#members.set(`${facet} ${member}`, button);
				return button;
			});
			return element("div", { class: "facet", role: "group", "aria-label": titles[facet] },
				element("span", { class: "facet-name" }, titles[facet]),
				element("span", { class: "members" }, ...buttons));
		};
		const numbered = (/** @type {string[]} */ names) =>
			names.map((name, i) => /** @type {[number, string]} */ ([i, name]));
		this.#rows.replaceChildren(row("layer", numbered(map.layers)), row("strand", numbered(map.strands)),
			row("rank", numbered(map.ranks.map((rank) => rank.replace("#", "♯")))),
			row("zone", zones.filter((zone) => map.zones[zone])
				.map((zone) => [zone, zoneTitle(map.zones[zone], map.keyNames)])),
			element("div", { class: "facet" }, element("span", { class: "facet-name" }, "Beds"),
				element("span", { class: "members" }, this.#dry)));
		this.#mark();
	}

	/**
	 * @param {string} facet
	 * @param {number} member
	 */
	#press(facet, member) {
		const now = this.#picks.find((one) => one.facet === facet)?.members[member] ?? "";
		if (now !== "" && now !== this.#how) this.#link.send({ do: "pick", facet, member, how: now, on: false });
		this.#link.send({ do: "pick", facet, member, how: this.#how, on: now !== this.#how });
	}

	/** @param {boolean} some takes are told apart from the rest of their beds */
	setApart(some) {
		this.#apart = some;
		this.#mark();
	}

	#mark() {
		let some = this.#apart;
		for (const { facet, members } of this.#picks) {
			members.forEach((how, member) => {
				some = some || how !== "";
				const button = this.#members.get(`${facet} ${member}`);
				if (!button) return;
				button.dataset.how = how;
				button.setAttribute("aria-pressed", String(how !== ""));
				if (how) button.setAttribute("aria-description", how);
				else button.removeAttribute("aria-description");
			});
		}
		this.#all.disabled = !some;
	}
}
