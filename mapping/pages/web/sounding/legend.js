// How the chart of courses is read.

import { drawn, element } from "../element.js";

/**
 * @param {HTMLElement} list
 * @param {import("../types.js").MapTold} map
 */
export function legend(list, map) {
	const strands = map.strands.map((title, strand) => {
		const swatch = drawn("svg",
			{ class: `swatch strand-${strand % 4}`, viewBox: "0 0 24 8", "aria-hidden": "true" },
			drawn("rect", { width: 24, height: 8 }));
		if (strand % 2 === 1) swatch.append(drawn("line", { x1: 2, y1: 4, x2: 22, y2: 4 }));
		return element("li", {}, swatch, title);
	});
	const layers = map.layers.length > 1 ?
		[element("li", {}, `${map.layers[0]} within, ${map.layers[map.layers.length - 1]} without`)] : [];
	list.replaceChildren(...strands, ...layers);
}
