// The link to the player: one socket, opened again whenever it is lost.

import { readPicture } from "./picture.js";
import { sharpened } from "./words.js";

const firstWaitMS = 250;
const longestWaitMS = 4000;

export class Link {
	/** @type {WebSocket | null} */
	#socket = null;
	#waitMS = firstWaitMS;
	/** @type {Map<string, ((what: any) => void)[]>} */
	#listeners = new Map();
	/** @type {Map<string, any>} */
	#told = new Map();
	/** @type {((picture: import("./picture.js").Picture) => void)[]} */
	#pictures = [];
	/** @type {((connected: boolean) => void)[]} */
	#states = [];
	/** @type {(() => void)[]} */
	#refusals = [];

	/** Opens the link, and keeps it open. */
	open() {
		const socket = new WebSocket(`ws://${location.host}/socket`);
		socket.binaryType = "arraybuffer";
		this.#socket = socket;
		socket.onopen = () => {
			this.#waitMS = firstWaitMS;
			for (const heed of this.#states) heed(true);
		};
		socket.onmessage = (event) => this.#take(event.data);
		socket.onclose = () => {
			if (this.#socket !== socket) return;
			this.#socket = null;
			for (const heed of this.#states) heed(false);
			this.#askWhy();
			setTimeout(() => this.open(), this.#waitMS);
			this.#waitMS = Math.min(2 * this.#waitMS, longestWaitMS);
		};
	}

	/** A player that was started anew has another secret: it refuses until its own address was opened here. */
	async #askWhy() {
		try {
			const answer = await fetch("./", { method: "HEAD", cache: "no-store" });
			if (answer.status === 403 && !this.#socket) for (const heed of this.#refusals) heed();
		} catch { /* nobody answers: the link looks again */ }
	}

	/** @param {() => void} heed called when a player answers, but not to this page */
	onRefusal(heed) {
		this.#refusals.push(heed);
	}

	/** @param {string | ArrayBuffer} data */
	#take(data) {
		if (typeof data !== "string") {
			const picture = readPicture(data);
			if (picture) for (const heed of this.#pictures) heed(picture);
			return;
		}
		const { told, what } = JSON.parse(data, sharpened);
		this.#told.set(told, what);
		for (const heed of this.#listeners.get(told) ?? []) heed(what);
	}

	/**
	 * Calls heed with everything of a kind that the player tells, and at once with the newest that it has told.
	 * @param {string} told
	 * @param {(what: any) => void} heed
	 */
	on(told, heed) {
		const all = this.#listeners.get(told) ?? [];
		all.push(heed);
		this.#listeners.set(told, all);
		if (this.#told.has(told)) heed(this.#told.get(told));
	}

	/** @param {(picture: import("./picture.js").Picture) => void} heed */
	onPicture(heed) {
		this.#pictures.push(heed);
	}

	/** @param {(connected: boolean) => void} heed */
	onState(heed) {
		this.#states.push(heed);
	}

	/**
	 * Asks the player for something: a row of the table in doings.go. Without a link nothing is asked: what was meant
	 * for then would come too late.
	 * @param {{do: string} & Record<string, unknown>} message
	 */
	send(message) {
		if (this.#socket?.readyState === WebSocket.OPEN) this.#socket.send(JSON.stringify(message));
	}
}
