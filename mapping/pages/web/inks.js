// The inks of the style sheet, for drawings on a canvas.

/**
 * @typedef {{paper: string, sunk: string, text: string, quiet: string, rule: string, edge: string, strands: string[],
 *   mark: string, gate: string, ivory: string, ebony: string, sans: string, serif: string}} Inks
 */

/** @returns {Inks} as they are now, in light or dark */
export function readInks() {
	const style = getComputedStyle(document.documentElement);
	const ink = (/** @type {string} */ name) => style.getPropertyValue("--" + name).trim();
	return {
		paper: ink("paper"), sunk: ink("sunk"), text: ink("text"), quiet: ink("quiet"), rule: ink("rule"),
		edge: ink("edge"), strands: [ink("a"), ink("b"), ink("c"), ink("d")], mark: ink("mark"), gate: ink("gate"),
		ivory: ink("ivory"), ebony: ink("ebony"), sans: ink("sans"), serif: ink("serif"),
	};
}

/**
 * Calls heed when light turns to dark or back.
 * @param {() => void} heed
 */
export function onInks(heed) {
	matchMedia("(prefers-color-scheme: dark)").addEventListener("change", heed);
}
