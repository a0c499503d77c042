// The company of a bed: what may lead in the beds that sound beside it, by which its own takes are arranged.

package beds

import (
	"context"
	"math"
	"path/filepath"
	"slices"

	"lapstrake/mapping"
	"lapstrake/mapping/beds/arrange"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/work"
)

// knownCompany is the company that a bed of some recipe was arranged beside.
type knownCompany struct {
	Recipe  string          `json:"recipe"` // nameless
	Company hearing.Company `json:"company"`
	// DarkerDB is by how much the bed was darkened beside the next louder layer; nil: it was not finished, or the
	// settings leave beds as they are.
	DarkerDB *float64 `json:"darker_db,omitempty"`
}

// meetCompanies finds the company of beds that are to be made. One that was made of the same parts before has the
// company that it had then, so that a change to one take changes the beds alone that hold it, and taking it back gives
// the old ones.
func (b *builder) meetCompanies(ctx context.Context, missing []*recipe) error {
	var strangers []*recipe
	for _, r := range missing {
		known := b.record.Companies[r.Slot.String()]
		if at := b.record.companyAt(r); at >= 0 {
			r.company = known[at].Company
			b.record.Companies[r.Slot.String()] = slices.Insert(slices.Delete(slices.Clone(known), at, at+1), 0,
				known[at])
		} else {
			strangers = append(strangers, r)
		}
	}
	if len(strangers) == 0 {
		return nil
	}
	m, err := b.plannedMap()
	if err != nil {
		return err
	}
	profiles, err := b.profiles(ctx, strangers)
	if err != nil {
		return err
	}
	for _, r := range strangers {
		r.company = b.company(r, m, profiles)
		name := r.Slot.String()
		b.record.Companies[name] = slices.Insert(b.record.Companies[name], 0,
			knownCompany{Recipe: r.nameless(), Company: r.company})
		b.record.Companies[name] = b.record.Companies[name][:min(len(b.record.Companies[name]), mostEarlier)]
	}
	return nil
}

// companyAt is the place of what a bed of these parts was arranged beside, among what the record knows of its slot; -1
// where it was never made.
func (record *buildRecord) companyAt(r *recipe) int {
	name := r.nameless()
	return slices.IndexFunc(record.Companies[r.Slot.String()], func(k knownCompany) bool { return k.Recipe == name })
}

// knownCompany is what a bed of these parts was arranged beside; nil where it was never made.
func (record *buildRecord) knownCompany(r *recipe) *knownCompany {
	if at := record.companyAt(r); at >= 0 {
		return &record.Companies[r.Slot.String()][at]
	}
	return nil
}

// companionsAt is the place of the dynamics for which beds are arranged, 0 to 1: there, most takes sound at once.
const companionsAt = 0.5

// company is what sounds beside a bed on the keys that it serves, halfway through the dynamics.
func (b *builder) company(r *recipe, m *mapping.Map, profiles map[string]*hearing.Excitation) hearing.Company {
	low, high := b.report.Settings.Grid.Zone(r.Slot.Root)
	c := hearing.Company{Ratio: math.Exp2((float64(low+high)/2 - float64(r.Slot.Root)) / 12)}
	at := map[mapping.BedName]int{}
	for _, other := range b.companions(r) {
		cycle, known := at[cycleOf(other.Slot)]
		if !known {
			cycle = len(c.Cycles)
			at[cycleOf(other.Slot)] = cycle
			c.Cycles = append(c.Cycles, &hearing.Course{})
		}
		for i := range other.Parts {
			b.lead(c.Cycles[cycle], &other.Parts[i], other, r, profiles)
		}
	}
	for key := low; key <= high; key++ {
		powers := b.cyclePowers(m, key)
		own := powers[cycleOf(r.Slot)]
		if own == 0 {
			continue // the keyboard ends before
		}
		companions := []hearing.Companion{}
		for cycle, power := range powers {
			if other, sounds := at[cycle]; sounds && power > 0 {
				companions = append(companions, hearing.Companion{Cycle: other, Power: power / own})
			}
		}
		slices.SortFunc(companions, func(a, b hearing.Companion) int { return a.Cycle - b.Cycle })
		c.Keys = append(c.Keys, companions)
	}
	return c
}

// cycleOf names the cycle that a bed is part of.
func cycleOf(slot mapping.BedName) mapping.BedName {
	return mapping.BedName{Layer: slot.Layer, Root: slot.Root}
}

// cyclePowers are about the powers of the cycles that a key sounds, by their names.
func (b *builder) cyclePowers(m *mapping.Map, key int) map[mapping.BedName]float64 {
	gains, powers := make([]float64, len(m.Layers)), map[mapping.BedName]float64{}
	m.LayerGains(companionsAt, gains)
	for _, i := range m.ZonesAt(key) {
		zone := &m.Zones[i]
		for layer, name := range m.Layers {
			gain := gains[layer] * m.ZoneGain(zone, key)
			powers[mapping.BedName{Layer: name, Root: zone.Root}] = gain * gain *
				sound.DBToPower(-b.report.Settings.LayerBelowLoudDB(name))
		}
	}
	return powers
}

// companions are the beds that sound beside a bed on some key: those of the other layers of its root, and those of
// roots whose zones share keys with its own.
func (b *builder) companions(r *recipe) (others []*recipe) {
	grid := &b.report.Settings.Grid
	low, high := grid.Zone(r.Slot.Root)
	for i := range b.recipes {
		other := &b.recipes[i]
		otherLow, otherHigh := grid.Zone(other.Slot.Root)
		if cycleOf(other.Slot) != cycleOf(r.Slot) && otherLow <= high && low <= otherHigh {
			others = append(others, other)
		}
	}
	return others
}

// lead adds what a take of another bed excites while it leads there, seen from a bed's root.
func (b *builder) lead(leads *hearing.Course, in *ingredient, other, r *recipe,
	profiles map[string]*hearing.Excitation) {
	profile := profiles[in.name()]
	if profile == nil {
		return
	}
	semitones := float64(r.Slot.Root - other.Slot.Root)
	if in.moved != nil {
		semitones += *in.moved
	}
	moved := profile.Moved(math.Exp2(semitones / 12))
	power := 0.0
	for band, p := range moved {
		power += p * sound.KWeight(hearing.BandHz(float64(band)), r.RateHz)
	}
	if power > 0 {
		leads.Add(moved.Times(arrange.KindPower(in.Kind, &r.Arrange) / power))
	}
}

// profileSec is how much of a take its profile is made of, from its onset on.
const profileSec = 3

// profiles measures what the takes excite that may lead beside some beds, by their names; nil for one that cannot be
// read: whoever needs it tells why.
func (b *builder) profiles(ctx context.Context, strangers []*recipe) (map[string]*hearing.Excitation, error) {
	var takes []*ingredient
	profiles := map[string]*hearing.Excitation{}
	for _, r := range strangers {
		for _, other := range b.companions(r) {
			for i := range other.Parts {
				in := &other.Parts[i]
				if _, listed := profiles[in.name()]; !listed {
					profiles[in.name()] = nil
					takes = append(takes, in)
				}
			}
		}
	}
	found := make([]*hearing.Excitation, len(takes))
	err := work.Each(ctx, len(takes), func(_ context.Context, i int) error {
		found[i] = b.profile(takes[i])
		return nil
	})
	for i, in := range takes {
		profiles[in.name()] = found[i]
	}
	return profiles, err
}

// profile is what the beginning of a take excites, as the mean over its time.
func (b *builder) profile(in *ingredient) *hearing.Excitation {
	fromSec := in.FromSec + in.row.OnsetSec
	toSec := in.FromSec + min(in.row.OnsetSec+profileSec, in.row.EndSec)
	file := filepath.Join(b.dir, project.TakesFolder, filepath.FromSlash(in.Path))
	heard, err := decode.Excerpt(file, decode.Span{FromSec: fromSec, ToSec: toSec})
	if err != nil || heard.Frames() == 0 {
		return nil
	}
	left, right := heard.Channels[0], heard.Channels[min(1, len(heard.Channels)-1)]
	profile := hearing.NewMeasurer(heard.RateHz).Course(left, right, nil).Mean()
	return &profile
}
