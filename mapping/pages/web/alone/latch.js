// Latch: holds the last chord when the hands are off the keys. On, it withholds note-offs; the first key struck when
// none is down lets that chord go and begins the next, and keys struck while another is down join it.

export class Latch {
	on = false;
	/** @type {Set<number>} */
	#down = new Set();
	/** @type {Set<number>} sounding with the key up */
	#latched = new Set();
	#pass;

	/** @param {(bytes: number[]) => void} pass takes what is passed on */
	constructor(pass) {
		this.#pass = pass;
	}

	/** @param {boolean} on */
	set(on) {
		this.on = on;
		if (!on) this.#letGo();
	}

	#letGo() {
		const keys = [...this.#latched];
		this.#latched.clear();
		for (const key of keys) this.#pass([0x80, key, 64]);
	}

	/** @param {number[]} bytes */
	take(bytes) {
		const [status, key, value] = bytes;
		const kind = status & 0xf0;
		if (kind === 0x80 || (kind === 0x90 && value === 0)) {
			if (this.on && this.#down.delete(key)) {
				this.#latched.add(key);
				return;
			}
			this.#down.delete(key);
		} else if (kind === 0x90) {
			if (this.on && this.#down.size === 0) this.#letGo();
			this.#down.add(key);
			this.#latched.delete(key);
		} else if (kind === 0xb0 && (key === 120 || key >= 123)) {
			this.#down.clear();
			this.#latched.clear();
		}
		this.#pass(bytes);
	}
}
