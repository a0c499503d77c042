// What hands and feet move: dynamics with its law drawn, volume, the output's level, bend, pedals, latch. What moves
// in the world moves here.

import { drawn, element, write } from "../element.js";
import { decibels } from "../words.js";

const controlHold = 64;
const controlSostenuto = 66;
const controlVolume = 7;
const bendCentre = 8192;
const ownMS = 400; // for so long after a hand moved something here, the world does not move it back

/** A slider that a hand on the page and the world both move. */
export class Slider {
	input;
	#value;
	#movedMS = -Infinity;

	/**
	 * @param {string} title
	 * @param {{min: number, max: number, step?: number}} range
	 * @param {(value: number) => void} move
	 * @param {() => void} [settle] the hand has let go
	 */
	constructor(title, range, move, settle) {
		this.input = element("input",
			{ type: "range", "aria-label": title, min: range.min, max: range.max, step: range.step ?? 1 });
		this.#value = element("output", {}, "");
		this.element = element("div", { class: "slider" }, element("span", { class: "label" }, title), this.#value,
			this.input);
		this.input.addEventListener("input", () => {
			this.#movedMS = performance.now();
			move(Number(this.input.value));
		});
		if (settle) this.input.addEventListener("change", settle);
	}

	/** Lets the world move it at once. */
	let() {
		this.#movedMS = -Infinity;
	}

	/**
	 * @param {number} value
	 * @param {string} text
	 */
	show(value, text) {
		write(this.#value, text);
		if (this.input.getAttribute("aria-valuetext") !== text) this.input.setAttribute("aria-valuetext", text);
		if (performance.now() - this.#movedMS < ownMS) return;
		const off = Math.abs(Number(this.input.value) - value);
		if (off >= 0.5 * Number(this.input.step)) this.input.value = String(value);
	}
}

export class Hand {
	/** @type {import("../types.js").MapTold | null} */
	#map = null;
	#dynamics;
	#volume;
	#output;
	#bend;
	#law = drawn("svg", { class: "law", viewBox: "0 0 127 40", preserveAspectRatio: "none", "aria-hidden": "true" });
	#needle = drawn("line", { class: "needle", y1: 0, y2: 40 });
	#shares = element("span", { class: "shares" });
	#lawName = element("span", { class: "law-name" });
	/** @type {Record<string, HTMLButtonElement>} */
	#buttons = {};

	/**
	 * @param {HTMLElement} host
	 * @param {import("../types.js").Link} link
	 * @param {import("./fingers.js").Fingers} fingers
	 */
	constructor(host, link, fingers) {
		this.#dynamics = new Slider("Dynamics", { min: 0, max: 127 },
			(value) => link.send({ do: "control", number: this.#map?.dynamics.controller ?? 1, value }));
		this.#volume = new Slider("Volume", { min: 0, max: 127 },
			(value) => link.send({ do: "control", number: this.#map?.volume[0] ?? controlVolume, value }));
		const loudestDB = link.alone ? 0 : 6; // a browser clips what is louder
		this.#output = new Slider("Output", { min: -40, max: loudestDB }, (db) => link.send({ do: "level", db }));
		this.#bend = new Slider("Bend, semitones", { min: 0, max: 16383, step: 64 },
			(value) => link.send({ do: "bend", value }));
		const centre = () => {
			this.#bend.input.value = String(bendCentre);
			link.send({ do: "bend", value: bendCentre });
		};
		for (const end of ["pointerup", "pointercancel", "blur"]) this.#bend.input.addEventListener(end, centre);
		this.#dynamics.element.classList.add("dynamics");
		this.#dynamics.input.before(this.#law);
		this.#dynamics.element.append(element("p", { class: "law-words" }, this.#shares, this.#lawName));
		const buttons = element("div", { class: "buttons", role: "group", "aria-label": "Pedals and latch" });
		this.#press(buttons, "hold", "Hold",
			(on) => link.send({ do: "control", number: controlHold, value: on ? 127 : 0 }));
		this.#press(buttons, "sostenuto", "Sostenuto",
			(on) => link.send({ do: "control", number: controlSostenuto, value: on ? 127 : 0 }));
		this.#press(buttons, "latch", "Latch", (on) => link.send({ do: "latch", on }));
		this.#press(buttons, "letters", "Letters play", (on) => {
			fingers.letters = on;
			this.#mark("letters", on);
			fingers.liftAll();
		});
		this.#mark("letters", true);
		const strike = element("button", { type: "button" }, "Strike again");
		strike.addEventListener("click", () => link.send({ do: "strike" }));
		const silence = element("button", { type: "button", class: "silence" }, "All sound off");
		silence.addEventListener("click", () => link.send({ do: "silence" }));
		buttons.append(strike, silence);
		host.append(element("h2", { class: "unseen" }, "By hand"), this.#dynamics.element, this.#volume.element,
			this.#bend.element, this.#output.element, buttons);
	}

	/**
	 * @param {HTMLElement} host
	 * @param {string} name
	 * @param {string} title
	 * @param {(on: boolean) => void} press
	 */
	#press(host, name, title, press) {
		const button = element("button", { type: "button", "aria-pressed": "false" }, title);
		button.addEventListener("click", () => press(button.getAttribute("aria-pressed") !== "true"));
		this.#buttons[name] = button;
		host.append(button);
	}

	/**
	 * @param {string} name
	 * @param {boolean} on
	 */
	#mark(name, on) {
		const pressed = String(on);
		const button = this.#buttons[name];
		if (button.getAttribute("aria-pressed") !== pressed) button.setAttribute("aria-pressed", pressed);
	}

	/** @param {import("../types.js").MapTold} map */
	setMap(map) {
		this.#map = map;
		const lines = map.dynamics.gains.map((gains, layer) => drawn("polyline", {
			class: `layer layer-${layer}`,
			points: gains.map((gain, value) => `${value},${(40 - 38 * Math.min(gain, 1.05) ).toFixed(2)}`).join(" "),
		}));
		this.#law.replaceChildren(...lines, this.#needle);
		const words = { "even-loudness": "even loudness", "equal-power": "equal power", "equal-gain": "equal gain" };
		write(this.#lawName, words[/** @type {keyof typeof words} */ (map.dynamics.law)] ?? map.dynamics.law);
	}

	/** @param {import("../picture.js").Picture} picture */
	show(picture) {
		const value = Math.round(127 * picture.dynamics);
		this.#dynamics.show(value, String(value));
		this.#needle.setAttribute("x1", String(127 * picture.dynamics));
		this.#needle.setAttribute("x2", String(127 * picture.dynamics));
		this.#volume.show(picture.volume, decibels(picture.volumeDB));
		this.#output.show(picture.outputDB, decibels(picture.outputDB, 0));
		const semitones = picture.bend * (this.#map?.bendSemitones ?? 2);
		this.#bend.show(bendCentre + picture.bend * bendCentre,
			`${semitones < 0 ? "−" : ""}${Math.abs(semitones).toFixed(2)}`);
		this.#mark("hold", picture.hold);
		this.#mark("sostenuto", picture.sostenuto);
		this.#mark("latch", picture.latch);
		const map = this.#map;
		if (!map) return;
		const gains = map.dynamics.gains.map((all) => all[value] ?? 0);
		const power = gains.reduce((sum, gain) => sum + gain * gain, 0) || 1;
		write(this.#shares, map.layers
			.map((layer, i) => `${layer} ${Math.round((100 * gains[i] ** 2) / power)} %`).join(" · "));
	}
}
