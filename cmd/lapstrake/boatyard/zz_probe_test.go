package boatyard

import (
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
	"time"
)

func writeWav(path string, x []float32, rate int) {
	f, _ := os.Create(path)
	defer f.Close()
	n := len(x) * 4
	h := []byte("RIFF....WAVEfmt ")
	binary.LittleEndian.PutUint32(h[4:], uint32(36+n))
	f.Write(h)
	binary.Write(f, binary.LittleEndian, []any{})
	for _, v := range []any{uint32(16), uint16(3), uint16(2), uint32(rate), uint32(rate * 8), uint16(8), uint16(32)} {
		binary.Write(f, binary.LittleEndian, v)
	}
	f.Write([]byte("data"))
	binary.Write(f, binary.LittleEndian, uint32(n))
	binary.Write(f, binary.LittleEndian, x)
}

func TestProbeSpeed(t *testing.T) {
	if os.Getenv("PROBE") != "speed" {
		return
	}
	for _, m := range Makers() {
		for _, k := range []int{24, 60, 114} {
			start := time.Now()
			m.Take(k, 6, 48000, 1)
			fmt.Printf("%-40s %3d %6.1f ms\n", m.Title, k, float64(time.Since(start).Microseconds())/1000)
		}
	}
	start := time.Now()
	worst := time.Duration(0)
	n := 0
	for _, l := range []string{"soft", "loud"} {
		for _, s := range []string{"a", "b"} {
			for k := 24; k <= 114; k += 6 {
				b := time.Now()
				Bed(l, s, k, 15, 48000)
				worst = max(worst, time.Since(b))
				n++
			}
		}
	}
	fmt.Println(n, "beds", time.Since(start), "worst", worst)
}

func TestProbeDump(t *testing.T) {
	if os.Getenv("PROBE") != "dump" {
		return
	}
	dir := "/tmp/boat"
	os.MkdirAll(dir, 0o755)
	for _, m := range Makers() {
		for _, k := range []int{36, 60, 84} {
			for _, l := range []string{"soft", "loud"} {
				if l == "soft" && !m.Soft || l == "loud" && !m.Loud {
					continue
				}
				name := strings.ReplaceAll(strings.ReplaceAll(m.Title, " ", "_"), ",", "")
				writeWav(fmt.Sprintf("%s/take_%s_%s_%d.wav", dir, name, l, k), m.In(l).Take(k, 6, 48000, 1), 48000)
			}
		}
	}
	for _, l := range []string{"soft", "loud"} {
		for _, s := range []string{"a", "b"} {
			for k := 24; k <= 114; k += 6 {
				writeWav(fmt.Sprintf("%s/bed_%s_%s_%03d.wav", dir, l, s, k), Bed(l, s, k, 15, 48000), 48000)
			}
		}
	}
}

func TestProbeChoice(t *testing.T) {
	if os.Getenv("PROBE") != "choice" {
		return
	}
	count := map[string]int{}
	for _, l := range []string{"soft", "loud"} {
		for _, s := range []string{"a", "b"} {
			for k := 24; k <= 114; k += 6 {
				var names []string
				for _, m := range chosen(l, s, k) {
					names = append(names, m.Title[:9])
					count[m.Title+" "+l]++
				}
				fmt.Println(l, s, k, names)
			}
		}
	}
	for k, v := range count {
		fmt.Println(v, k)
	}
}

func TestProbeBeds(t *testing.T) {
	if os.Getenv("PROBE") != "beds" {
		return
	}
	const rate = 48000
	beds := map[string][]float32{}
	for _, l := range []string{"soft", "loud"} {
		for _, s := range []string{"a", "b"} {
			for k := 24; k <= 114; k += 6 {
				b := Bed(l, s, k, 15, rate)
				beds[fmt.Sprint(l, s, k)] = b
				st := newStereo(len(b) / 2)
				var pk, dcl, dcr float64
				for i := range st.left {
					st.left[i], st.right[i] = float64(b[2*i]), float64(b[2*i+1])
					dcl += st.left[i]
					dcr += st.right[i]
					pk = max(pk, math.Abs(st.left[i]), math.Abs(st.right[i]))
				}
				db := func(x float64) float64 { return 20 * math.Log10(x) }
				rms := math.Sqrt((sq(st.left) + sq(st.right)) / 2)
				pw := st.heardPowers(rate/10, rate)
				spread := func(win float64) (lo, hi float64) {
					lo, hi = 99, -99
					w := int(win * 10)
					for at := 3; at+w <= len(pw); at++ {
						sum := 0.0
						for _, q := range pw[at : at+w] {
							sum += q
						}
						v := 10 * math.Log10(sum/float64(w))
						lo, hi = min(lo, v), max(hi, v)
					}
					return
				}
				a, c := spread(1)
				d, e := spread(3)
				fmt.Printf("%s %s %3d K %.2f rms %.2f peak %.2f dc %.0f bal %+.2f  1s %.2f..%.2f (±%.2f) 3s ±%.2f\n", l, s, k, db(st.heard(rate)), db(rms), db(pk), db(max(math.Abs(dcl), math.Abs(dcr))/float64(len(st.left))+1e-12), 10*math.Log10(sq(st.left)/sq(st.right)), a, c, (c-a)/2, (e-d)/2)
			}
		}
	}
	corr := func(x, y []float32) (list []float64) {
		for at := 0; at+2*rate <= len(x); at += 2 * rate {
			var xy, xx, yy float64
			for i := at; i < at+2*rate; i++ {
				a, b := float64(x[i]), float64(y[i])
				xy += a * b
				xx += a * a
				yy += b * b
			}
			list = append(list, math.Abs(xy/math.Sqrt(xx*yy)))
		}
		return
	}
	var all []float64
	for k := 24; k <= 114; k += 6 {
		fmt.Print(k)
		for _, p := range [][2]string{{"softa", "softb"}, {"louda", "loudb"}, {"softa", "louda"}, {"softb", "loudb"}, {"softa", "loudb"}, {"softb", "louda"}} {
			c := corr(beds[p[0]+fmt.Sprint(k)], beds[p[1]+fmt.Sprint(k)])
			if len(c) == 0 {
				c = corr(beds[fmt.Sprint(p[0][:4], p[0][4:], k)], beds[fmt.Sprint(p[1][:4], p[1][4:], k)])
			}
			s, m := 0.0, 0.0
			for _, v := range c {
				s += v
				m = max(m, v)
				all = append(all, v)
			}
			fmt.Printf("  %.2f/%.2f", s/float64(len(c)), m)
		}
		fmt.Println()
	}
	n := 0
	for _, v := range all {
		if v > 0.2 {
			n++
		}
	}
	fmt.Println("share over 0.2:", float64(n)/float64(len(all)))
}

func sq(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v * v
	}
	return s / float64(len(x))
}
