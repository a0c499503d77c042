// Playing on the page: mouse and touch on the drawn keys, letters of the computer's keyboard, the chosen key by space.

const letters = ["KeyZ", "KeyS", "KeyX", "KeyD", "KeyC", "KeyV", "KeyG", "KeyB", "KeyH", "KeyN", "KeyJ", "KeyM"];
const upper = ["KeyQ", "Digit2", "KeyW", "Digit3", "KeyE", "KeyR", "Digit5", "KeyT", "Digit6", "KeyY", "Digit7",
	"KeyU", "KeyI", "Digit9", "KeyO", "Digit0", "KeyP"];
const lowestLetterKey = 48;
const letterVelocity = 90;

export class Fingers {
	#link;
	#keyboard;
	/** @type {Map<string, number>} what each finger or letter holds down */
	#down = new Map();
	/** Whether letters play wherever the focus is. */
	letters = true;
	octave = 0;

	/**
	 * @param {import("../types.js").Link} link
	 * @param {import("./keyboard.js").Keyboard} keyboard
	 */
	constructor(link, keyboard) {
		this.#link = link;
		this.#keyboard = keyboard;
		const canvas = keyboard.canvas;
		canvas.addEventListener("pointerdown", (event) => this.#touch(event));
		canvas.addEventListener("pointermove", (event) => this.#glide(event));
		for (const end of ["pointerup", "pointercancel", "lostpointercapture"]) {
			canvas.addEventListener(end,
				(event) => this.#lift("finger " + /** @type {PointerEvent} */ (event).pointerId));
		}
		canvas.addEventListener("keydown", (event) => this.#chooseKey(event));
		canvas.addEventListener("focus", () => this.#keyboard.choose(0));
		canvas.addEventListener("blur", () => this.#keyboard.choose(0));
		addEventListener("keydown", (event) => this.#letter(event));
		addEventListener("keyup", (event) => this.#lift(event.code));
		addEventListener("blur", () => this.liftAll());
		document.addEventListener("visibilitychange", () => {
			if (document.hidden) this.liftAll();
		});
	}

	liftAll() {
		for (const finger of [...this.#down.keys()]) this.#lift(finger);
	}

	/**
	 * @param {string} finger
	 * @param {number} key
	 * @param {number} velocity
	 */
	#press(finger, key, velocity) {
		if (key < 0 || key > 127) return;
		this.#down.set(finger, key);
		this.#link.send({ do: "note", key, velocity: Math.min(127, Math.max(1, Math.round(velocity))) });
	}

	/** @param {string} finger */
	#lift(finger) {
		const key = this.#down.get(finger);
		if (key === undefined) return;
		this.#down.delete(finger);
		if (![...this.#down.values()].includes(key)) this.#link.send({ do: "note", key, velocity: 0 });
	}

	/** @param {PointerEvent} event */
	#touch(event) {
		const canvas = this.#keyboard.canvas;
		const hit = this.#hit(event);
		if (!hit || event.button !== 0) return;
		event.preventDefault();
		canvas.focus({ preventScroll: true });
		try {
			canvas.setPointerCapture(event.pointerId);
		} catch {
			// A finger that has left already is lifted by its own event.
		}
		this.#press("finger " + event.pointerId, hit.key, 30 + 90 * hit.depth);
	}

	/** @param {PointerEvent} event */
	#glide(event) {
		const finger = "finger " + event.pointerId;
		const key = this.#down.get(finger);
		const hit = this.#hit(event);
		if (key === undefined || !hit || hit.key === key) return;
		this.#lift(finger);
		this.#press(finger, hit.key, 30 + 90 * hit.depth);
	}

	/** @param {PointerEvent} event */
	#hit(event) {
		const box = this.#keyboard.canvas.getBoundingClientRect();
		return this.#keyboard.keyAt(event.clientX - box.left, event.clientY - box.top);
	}

	/** @param {KeyboardEvent} event */
	#chooseKey(event) {
		const step = { ArrowLeft: -1, ArrowRight: 1, ArrowDown: -12, ArrowUp: 12 }[event.key];
		if (step !== undefined) {
			event.preventDefault();
			this.#keyboard.choose(step);
		} else if ((event.key === " " || event.key === "Enter") && !event.repeat) {
			event.preventDefault();
			this.#press(event.code, this.#keyboard.chosen, letterVelocity);
		} else if (event.key === " ") event.preventDefault();
	}

	/** @param {KeyboardEvent} event */
	#letter(event) {
		if (event.repeat || event.ctrlKey || event.metaKey || event.altKey || this.#down.has(event.code)) return;
		const target = /** @type {HTMLElement} */ (event.target);
		const typing = target.matches?.("input:not([type=range]), textarea, select, [contenteditable]");
		if (typing || (!this.letters && target !== this.#keyboard.canvas)) return;
		const low = letters.indexOf(event.code);
		const high = upper.indexOf(event.code);
		const key = low >= 0 ? low : high >= 0 ? 12 + high : -1;
		if (key >= 0) this.#press(event.code, lowestLetterKey + 12 * this.octave + key, letterVelocity);
	}
}
