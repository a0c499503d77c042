// The level and the tuning of a zone on its keys: where the map fades at seams, each key has a level of its own, and
// where it tunes keys otherwise than in equal semitones, cents.

package export

import (
	"math"

	"lapstrake/mapping"
	"lapstrake/mapping/sound"
)

// keyRun is keys on which a zone is equally loud and equally far from its equal semitones.
type keyRun struct {
	mapping.KeyRange
	gainDB    float64 // to a hundredth of a dB, without the map's headroom
	tuneCents float64 // above what the distance of a key from the root says
}

// keyRuns splits the keys that an item serves into runs.
func (j *Job) keyRuns(i *Item) (runs []keyRun) {
	for _, keys := range i.Keys {
		for key := keys.Low; key <= keys.High; key++ {
			run := keyRun{mapping.KeyRange{Low: key, High: key}, j.gainDB(i.Zone, key), j.tuneCents(i.Zone, key)}
			last := len(runs) - 1
			if last >= 0 && runs[last].High == key-1 && runs[last].gainDB == run.gainDB &&
				runs[last].tuneCents == run.tuneCents {
				runs[last].High = key
				continue
			}
			runs = append(runs, run)
		}
	}
	return runs
}

// tuneCents is how far a zone is tuned above the equal semitone of a key, to a ten-thousandth of a cent.
func (j *Job) tuneCents(z *mapping.Zone, key int) float64 {
	return math.Round(1e6*(j.Map.ShiftSemitones(z, key)-float64(key-z.Root)))/1e4 + 0 // no minus before a zero
}

// isTuned says whether any key that sounds is tuned otherwise than to its equal semitone.
func (j *Job) isTuned() bool {
	for i := range j.Map.Zones {
		for _, keys := range j.Map.KeysOf(i) {
			for key := keys.Low; key <= keys.High; key++ {
				if j.tuneCents(&j.Map.Zones[i], key) != 0 {
					return true
				}
			}
		}
	}
	return false
}

// gainDB is how loud a zone is at a key beside the others there, to a hundredth of a dB.
func (j *Job) gainDB(z *mapping.Zone, key int) float64 {
	return math.Round(100*sound.AmplitudeDB(j.Map.ZoneGain(z, key)))/100 + 0 // no minus before a zero
}

// loudestDB is the highest level that any zone has at any key.
func (j *Job) loudestDB() float64 {
	loudest := math.Inf(-1)
	for i := range j.Map.Zones {
		for _, keys := range j.Map.KeysOf(i) {
			for key := keys.Low; key <= keys.High; key++ {
				loudest = max(loudest, j.gainDB(&j.Map.Zones[i], key))
			}
		}
	}
	return loudest
}

// levelsDiffer says whether a zone is louder on some key than the map's headroom alone has it, or softer.
func (j *Job) levelsDiffer() bool {
	for i := range j.Map.Zones {
		for _, keys := range j.Map.KeysOf(i) {
			for key := keys.Low; key <= keys.High; key++ {
				if j.gainDB(&j.Map.Zones[i], key) != 0 {
					return true
				}
			}
		}
	}
	return false
}
