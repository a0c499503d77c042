// The level of a zone on its keys: where the map fades at seams, each key has its own.

package export

import (
	"math"

	"lapstrake/mapping"
	"lapstrake/mapping/sound"
)

// gainRun is keys on which a zone is equally loud.
type gainRun struct {
	mapping.KeyRange
	gainDB float64 // to a hundredth of a dB, without the map's headroom
}

// gainRuns splits the keys that an item serves into runs.
func (j *Job) gainRuns(i *Item) (runs []gainRun) {
	for _, keys := range i.Keys {
		for key := keys.Low; key <= keys.High; key++ {
			gainDB, last := j.gainDB(i.Zone, key), len(runs)-1
			if last >= 0 && runs[last].High == key-1 && runs[last].gainDB == gainDB {
				runs[last].High = key
				continue
			}
			runs = append(runs, gainRun{mapping.KeyRange{Low: key, High: key}, gainDB})
		}
	}
	return runs
}

// gainDB is how loud a zone is at a key beside the others there, to a hundredth of a dB.
func (j *Job) gainDB(z *mapping.Zone, key int) float64 {
	return math.Round(100*sound.AmplitudeDB(j.Map.ZoneGain(z, key)))/100 + 0 // no minus before a zero
}

// loudestDB is the highest level that any zone has at any key.
func (j *Job) loudestDB() float64 {
	loudest := math.Inf(-1)
	for i := range j.Map.Zones {
		z := &j.Map.Zones[i]
		for key := z.Low; key <= z.High; key++ {
			loudest = max(loudest, j.gainDB(z, key))
		}
	}
	return loudest
}

// levelsDiffer says whether a zone is louder on some key than the map's headroom alone has it, or softer.
func (j *Job) levelsDiffer() bool {
	for i := range j.Map.Zones {
		z := &j.Map.Zones[i]
		for key := z.Low; key <= z.High; key++ {
			if j.gainDB(z, key) != 0 {
				return true
			}
		}
	}
	return false
}
