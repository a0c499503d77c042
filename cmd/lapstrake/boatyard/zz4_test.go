package boatyard
import ("testing";"fmt";"os")
func TestProbeWinch(t *testing.T) {
	if os.Getenv("PROBE") != "winch" { return }
	for _, m := range Makers() {
		if m.Kind == Noisy { continue }
		fmt.Printf("%-40s", m.Title)
		for _, key := range []int{42, 54, 69, 84, 102} {
			s := 0.0
			for seed := range uint64(16) {
				take := m.Take(key, 4, takeRateHz, seed+100)
				from := m.tape.leadSec + 0.8
				if m.Kind == Struck { from = loudestSec(take, takeRateHz)+.003 }
				s += centsOff(take, key, takeRateHz, from, 3.5)/16
			}
			fmt.Printf(" %d:%+.2f", key, s)
		}
		fmt.Println()
	}
}
