package dls_test

import (
	"bytes"
	"fmt"
	"log"

	"lapstrake/mapping/export/dls"
)

// A bank of one mono cycle is written and read back.
func Example() {
	bank := &dls.Bank{
		Title: "Yard",
		Waves: []dls.Wave{{Name: "mug", RateHz: 48000, Bits: 16, Root: 60, Frames: 1000, Guard: dls.GuardFrames}},
		Programs: []dls.Program{{Name: "Yard", Regions: []dls.Region{{
			KeyLow: 49, KeyHigh: 60, VelocityLow: 1, VelocityHigh: 127, PhaseGroup: 1,
			Connections: []dls.Connection{{Destination: dls.EG1Release, Scale: dls.Seconds(2)}},
		}}}},
	}
	ramp := func(dst []int16, wave int, from int64) error {
		for k := range dst {
			dst[k] = int16(from) + int16(k)
		}
		return nil
	}
	var out bytes.Buffer
	if err := dls.Write(&out, bank, ramp); err != nil {
		log.Fatal(err)
	}
	fmt.Println("as long as planned:", int64(out.Len()) == dls.SizeBytes(bank))

	file, err := dls.Read(bytes.NewReader(out.Bytes()), int64(out.Len()), "yard.dls")
	if err != nil {
		log.Fatal(err)
	}
	region := file.Programs[0].Regions[0]
	fmt.Println(file.Title, "on keys", region.KeyLow, "to", region.KeyHigh)
	around := make([]int16, 4) // two guard frames, which continue the loop, and its first two
	if err := file.ReadWave(around, 0, dls.GuardFrames-2); err != nil {
		log.Fatal(err)
	}
	fmt.Println(around)
	// Output:
	// as long as planned: true
	// Yard on keys 49 to 60
	// [998 999 0 1]
}
