// What a player takes is what the plan says: see also TestPlanForetellsThePlayersMemory, which measures it.

package engine

import "testing"

// Two channels of 32-bit floats take 8 bytes a frame; a head has 512 frames before its start and at most 32768 after
// it, half of 96 MB is for heads, and the rings fill most of the other half.
func TestPlanMemory(t *testing.T) {
	if m := PlanMemory(32, 256); m.HeadBytes != 32*(32768+512)*8 || m.RingBytes < 32<<20 ||
		m.Bytes() > DefaultMemoryBytes {
		t.Errorf("32 heads and 256 voices: %+v", m)
	}
	if m := PlanMemory(500, 256); m.HeadBytes > DefaultMemoryBytes/2 || m.HeadBytes < DefaultMemoryBytes/2-500*8 {
		t.Errorf("500 heads do not share their half out: %+v", m)
	}
	if m := PlanMemory(0, 256); m != (Memory{}) {
		t.Errorf("no heads: %+v", m)
	}
}
