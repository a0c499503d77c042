// Where the player's sound goes. The player runs on the browser's audio thread. That thread takes its script from
// the page itself: a file that was opened by a double click may read no other file. Where there is no such thread
// for it, the player runs beside the page.

import { Ordered } from "./orders.js";

const blockFrames = 1024; // where it runs beside the page

/**
 * Puts a player into an audio context.
 * @param {BaseAudioContext} context
 * @param {string} script of processor.js
 * @param {import("./orders.js").Start} start
 * @param {import("./orders.js").Order[]} orders at the beginning
 * @param {(answer: import("./orders.js").Answer) => void} answer
 * @returns {Promise<(order: import("./orders.js").Order) => void>} gives orders
 */
export async function putPlayer(context, script, start, orders, answer) {
	try {
		await context.audioWorklet.addModule("data:text/javascript;charset=utf-8," + encodeURIComponent(script));
	} catch {
		return putBeside(context, start, orders, answer);
	}
	const node = new AudioWorkletNode(context, "player", {
		numberOfInputs: 0, outputChannelCount: [2], processorOptions: { start, orders },
	});
	node.port.onmessage = (event) => answer(event.data);
	node.connect(context.destination);
	return (order) => node.port.postMessage(order, order.sides ? sidesOf(order.sides) : []);
}

/** @param {Int16Array[]} sides */
function sidesOf(sides) {
	return /** @type {Transferable[]} */ ([...new Set(sides.map((side) => side.buffer))]);
}

/**
 * @param {BaseAudioContext} context
 * @param {import("./orders.js").Start} start
 * @param {import("./orders.js").Order[]} orders
 * @param {(answer: import("./orders.js").Answer) => void} answer
 */
function putBeside(context, start, orders, answer) {
	const ordered = new Ordered(start, context.sampleRate, answer);
	for (const order of orders) ordered.do(order);
	const node = context.createScriptProcessor(blockFrames, 0, 2);
	node.onaudioprocess = ({ outputBuffer: to }) => ordered.render([to.getChannelData(0), to.getChannelData(1)]);
	node.connect(context.destination);
	return (/** @type {import("./orders.js").Order} */ order) => ordered.do(order);
}
