// Small helpers for the page's elements.

/**
 * Makes an element. Attributes whose value is false are left out.
 * @template {keyof HTMLElementTagNameMap} T
 * @param {T} tag
 * @param {Record<string, string | number | boolean>} [attributes]
 * @param {...(Node | string)} inside
 * @returns {HTMLElementTagNameMap[T]}
 */
export function element(tag, attributes = {}, ...inside) {
	const made = document.createElement(tag);
	for (const [name, value] of Object.entries(attributes)) {
		if (value !== false) made.setAttribute(name, value === true ? "" : String(value));
	}
	made.append(...inside);
	return made;
}

/**
 * Makes an element of a drawing.
 * @template {keyof SVGElementTagNameMap} T
 * @param {T} tag
 * @param {Record<string, string | number>} [attributes]
 * @param {...Node} inside
 * @returns {SVGElementTagNameMap[T]}
 */
export function drawn(tag, attributes = {}, ...inside) {
	const made = document.createElementNS("http://www.w3.org/2000/svg", tag);
	for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, String(value));
	made.append(...inside);
	return made;
}

/**
 * Writes a text where it is not there yet.
 * @param {Element} into
 * @param {string} text
 */
export function write(into, text) {
	if (into.textContent !== text) into.textContent = text;
}

/**
 * Says something to those who listen to the page.
 * @param {string} text
 */
export function say(text) {
	const said = document.getElementById("said");
	if (said) said.textContent = text;
}

const motion = matchMedia("(prefers-reduced-motion: reduce)");

/** @returns {boolean} whether the reader wants little to move */
export function calm() {
	return motion.matches;
}
