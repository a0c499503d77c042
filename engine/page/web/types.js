// What the player tells, as engine/page writes it.

/**
 * @typedef {{two: boolean, text: string, blind: boolean}} MapsTold
 * @typedef {{path: string, from: number, to: number}} BedTold a bed, from where to where it is heard, in turns
 * @typedef {{sec: number, beds: BedTold[]}} CycleTold
 * @typedef {{rank: string, root: number, low: number, high: number, start: number, gains: number[],
 *   cycles: CycleTold[]}} ZoneTold gains are those of its keys, from low to high
 * @typedef {{controller: number, law: string, gains: number[][]}} DynamicsTold
 * @typedef {{title: string, number: number, middleC: string, keyNames: string[], layers: string[], strands: string[],
 *   ranks: string[], bendSemitones: number, polyphony: number, dynamics: DynamicsTold, volume: number[],
 *   zones: ZoneTold[]}} MapTold
 * @typedef {{withinTurns: number, afterSec: number | null}} ReturnTold
 * @typedef {{sec: number, worstTurns: number}} NearingTold
 * @typedef {{beganFrame: number, cycles: number, horizonSec: number, returns: ReturnTold[],
 *   nearing: NearingTold[]}} ReturnsTold
 * @typedef {{key: number, zone: number, layer: number, bed: number}} PlaceTold
 * @typedef {{name: string, contributor: string, byDB: number, sones: number, places: PlaceTold[]}} TakeTold
 * @typedef {{reading: boolean, error?: string, unknown: string[], takes: TakeTold[]}} HeardTold
 * @typedef {{take: string, beds: string[]}} WhereTold
 * @typedef {{dynamics: number, heard_sec: number, stretches: {from_s: number, to_s: number, by_db: number}[] | null}} HeardAt
 * @typedef {{bed: string, bedSec: number, heardSec: number, at: HeardAt[], moved: number, tuned: boolean}} BedHeld
 * @typedef {{name: string, cells: string[], kind: string, layer: string, strand: string, hz: number | null, sureness: number | null,
 *   lufs: number | null, sec: number | null, snr: number | null, flags: string[], heardSec: number, beds: BedHeld[]}} RowTold
 *   cells are in the order of the sheet's columns
 * @typedef {{error?: string, columns: string[], choices: Record<string, string[]>, takes: RowTold[]}} SheetTold
 * @typedef {{take: string, column: string, undone: boolean, error?: string}} EditedTold
 */

export {};
