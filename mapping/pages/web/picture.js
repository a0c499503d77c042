// The picture of what sounds, read from the bytes that the player sends (picture.go has the same offsets).

/** What keeps a note sounding. */
export const held = { down: 0, pedal: 1, released: 2, fading: 3 };

/**
 * @typedef {{key: number, channel: number, layer: number, state: number, zone: number, map: number,
 *   beganFrame: number, played: number, start: number, turnSec: number, level: number, gain: number}} Sounding one
 *   cycle: played is the turns since its note began, start where in the cycle that was
 * @typedef {{latch: boolean, hold: boolean, sostenuto: boolean, recording: boolean, building: boolean, frame: number,
 *   chordFrame: number, dynamics: number, bend: number, volumeDB: number, volume: number, outputDB: number,
 *   faderDB: number, truePeakDB: number, reductionDB: number, load: number, worstLoad: number, underruns: number,
 *   misses: number, readErrors: number, stolen: number, rateHz: number, events: number, cycles: Sounding[]}} Picture
 */

const version = 1;
const headBytes = 96;
const cycleBytes = 40;

/**
 * @param {ArrayBuffer} buffer
 * @returns {Picture | null} null for a picture of another version
 */
export function readPicture(buffer) {
	const view = new DataView(buffer);
	if (view.byteLength < headBytes || view.getUint8(0) !== version) return null;
	const flags = view.getUint8(1);
	const float = (/** @type {number} */ at) => view.getFloat32(at, true);
	const whole = (/** @type {number} */ at) => view.getUint32(at, true);
	/** @type {Sounding[]} */
	const cycles = [];
	const count = view.getUint16(2, true);
	for (let i = 0, at = headBytes; i < count; i++, at += cycleBytes) {
		cycles.push({
			key: view.getUint8(at), channel: view.getUint8(at + 1), layer: view.getUint8(at + 2),
			state: view.getUint8(at + 3), zone: view.getUint16(at + 4, true), map: view.getUint16(at + 6, true),
			beganFrame: view.getFloat64(at + 8, true), played: view.getFloat64(at + 16, true), start: float(at + 24),
			turnSec: float(at + 28), level: float(at + 32), gain: float(at + 36),
		});
	}
	return {
		latch: (flags & 1) !== 0, hold: (flags & 2) !== 0, sostenuto: (flags & 4) !== 0, recording: (flags & 8) !== 0,
		building: (flags & 16) !== 0, frame: view.getFloat64(8, true), chordFrame: view.getFloat64(16, true),
		dynamics: float(24), bend: float(28), volumeDB: float(32), volume: float(36), outputDB: float(40),
		faderDB: float(44), truePeakDB: float(88), reductionDB: float(52), load: whole(56), worstLoad: whole(60),
		underruns: whole(64),
		misses: whole(68), readErrors: whole(72), stolen: whole(76), rateHz: whole(80), events: whole(84), cycles,
	};
}
