// The player on the browser's audio thread.

import { Ordered } from "./orders.js";

// What the thread has beside the language (Web Audio API, AudioWorkletGlobalScope).
/** @type {any} */
const scope = globalThis;

scope.registerProcessor("player", class extends scope.AudioWorkletProcessor {
	/**
	 * @param {{processorOptions: {start: import("./orders.js").Start, orders: import("./orders.js").Order[]}}}
	 *   options
	 */
	constructor({ processorOptions: { start, orders } }) {
		super();
		this.ordered = new Ordered(start, scope.sampleRate, (answer) => this.port.postMessage(answer));
		for (const order of orders) this.ordered.do(order);
		this.port.onmessage = (/** @type {MessageEvent} */ event) => this.ordered.do(event.data);
	}

	/**
	 * @param {Float32Array[][]} _inputs
	 * @param {Float32Array[][]} outputs
	 */
	process(_inputs, outputs) {
		this.ordered.render(outputs[0]);
		return true;
	}
});
