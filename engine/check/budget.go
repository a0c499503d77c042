// What playing takes of this machine.

package check

import (
	"context"
	"fmt"

	"lapstrake/engine"
)

// budget counts bytes and voices.
func budget(_ context.Context, s *subject, said *PartReport) error {
	heads := map[string]bool{}
	for zone := range s.m.Zones {
		z := &s.m.Zones[zone]
		for _, name := range s.m.Layers {
			for _, start := range s.m.Starts(z) {
				heads[fmt.Sprint(z.Beds[name], start)] = true
			}
		}
	}
	memory := float64(engine.PlanMemory(len(heads), s.m.Polyphony).Bytes()) / (1 << 20)
	said.tell("memory of the player", memory, "MB", lessIsBetter)
	said.judge(s.limits.MemoryMB, Finding{
		What: "memory_mb", Figure: memory, Unit: "MB",
		Text: fmt.Sprintf("the player takes %.0f MB for the beginnings of cycles and for reading ahead", memory),
	}, func() string { return "fewer starts: lapstrake map DIR --stagger zone" })
	most := s.m.MostZones() * len(s.m.Layers)
	const withPedal = 20 // ten fingers, and the ten notes before them in the pedal
	percent := 100 * float64(withPedal*most) / float64(s.m.Polyphony)
	said.tell("voices of ten fingers with pedal", float64(withPedal*most), "", neither)
	said.judge(s.limits.VoicesPercent, Finding{
		What: "voices_percent", Figure: percent, Unit: "%",
		Text: fmt.Sprintf("ten fingers with the pedal take %d of the %d voices that may sound",
			withPedal*most, s.m.Polyphony),
	}, func() string { return fmt.Sprintf("map.toml, polyphony: %d", 2*withPedal*most) })
	return nil
}
