// A player that is played on a page, on a small project, by a clock instead of a sound device.

package page

import (
	"math"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"lapstrake/engine"
	"lapstrake/engine/audible"
	"lapstrake/engine/live"
	"lapstrake/engine/mark"
	"lapstrake/mapping"
	"lapstrake/mapping/wav"
)

const (
	testRateHz  = 48000
	testBlock   = 256
	testBedSec  = 3
	testOverlap = 0.5
)

// played is a player with a page.
type played struct {
	*Page
	engine   *engine.Engine
	player   *live.Player
	arrivals *live.Arrivals
	hand     *live.Input // a keyboard in the world

	mu       sync.Mutex
	applied  *engine.QueueOut
	outputDB float64
	sound    []float32 // all that was rendered
	marked   []string  // remarks
	beganMS  float64   // of the clock, at which frame 0 was rendered
	asked    []float32 // the newest sound that was asked for in place of the music
	trail    *mark.Trail
	marks    mark.Player
	end      func() // of all of it
}

// newProject writes a map of two ranks in two layers of two strands, of sines.
func newProject(t testing.TB) (path string) {
	t.Helper()
	dir := t.TempDir()
	m := mapping.New()
	m.OverlapSec, m.ReleaseSec, m.AttackSec = testOverlap, 0.1, 0.01
	grid := mapping.DefaultGrid()
	grid.LowestKey, grid.HighestKey = 48, 71
	var beds []mapping.Bed
	for root := 48; root <= 82; root += 6 {
		for _, layer := range m.Layers {
			for i, strand := range m.Strands {
				bed := mapping.Bed{BedName: mapping.BedName{Layer: layer, Strand: strand, Root: root}}
				bed.Path = bed.String()
				writeSine(t, filepath.Join(dir, bed.Path), 440*math.Exp2(float64(root-69)/12)*float64(1+i))
				beds = append(beds, bed)
			}
		}
	}
	if _, err := mapping.Generate(m, beds, grid); err != nil {
		t.Fatal(err)
	}
	path = filepath.Join(dir, mapping.FileName)
	if err := m.Save(path); err != nil {
		t.Fatal(err)
	}
	return path
}

func writeSine(t testing.TB, path string, hz float64) {
	t.Helper()
	w, err := wav.Create(path, testRateHz, 2, wav.PCM16)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Discard()
	out := make([]float32, 2*testBedSec*testRateHz)
	for i := range len(out) / 2 {
		x := float32(0.2 * math.Sin(2*math.Pi*hz*float64(i)/testRateHz))
		out[2*i], out[2*i+1] = x, x
	}
	if err := w.WriteFrames(out); err != nil {
		t.Fatal(err)
	}
	if err := w.Commit(); err != nil {
		t.Fatal(err)
	}
}

// play plays the map at path and serves its page until the test ends.
func play(t testing.TB, path string) *played {
	t.Helper()
	return playAt(t, path, Address{})
}

// playAt is the same at an address.
func playAt(t testing.TB, path string, address Address) *played {
	t.Helper()
	p := &played{}
	var settings engine.Settings
	in, out := engine.NewQueue(1 << 16)
	toMarks, marked := engine.NewQueue(1 << 16)
	settings.Applied, p.applied = []*engine.QueueIn{in, toMarks}, out
	var err error
	if p.engine, err = engine.Open(path, settings); err != nil {
		t.Fatal(err)
	}
	p.arrivals = live.NewArrivals(testRateHz)
	if p.hand, err = p.arrivals.Open(); err != nil {
		t.Fatal(err)
	}
	p.player = live.NewPlayer(p.engine, p.arrivals, nil)
	teller := audible.NewTeller(filepath.Dir(path), p.engine)
	p.trail = mark.NewTrail(p.engine, marked)
	p.marks = mark.Player{Dir: filepath.Dir(path), Engine: p.engine, Teller: teller, Settings: settings}
	p.Page, err = Open(Settings{Title: title, Dir: filepath.Dir(path), MapPath: path, Engine: p.engine,
		Arrivals: p.arrivals, Teller: teller, Trial: live.NewTrial(p.engine), Address: address,
		Check: someChecks(path)})
	if err != nil {
		t.Fatal(err)
	}
	stop := make(chan struct{})
	var working sync.WaitGroup
	began := live.Now()
	p.beganMS = float64(time.Now().UnixMicro()) / 1000
	working.Go(func() { p.render(began, stop) })
	working.Go(func() { p.serve(stop) })
	p.end = sync.OnceFunc(func() {
		if err := p.Page.Close(); err != nil {
			t.Error(err)
		}
		close(stop)
		working.Wait()
		p.trail.Close()
		if err := p.engine.Close(); err != nil {
			t.Error(err)
		}
	})
	t.Cleanup(p.end)
	return p
}

// render renders as a sound device asks for it.
func (p *played) render(began int64, stop <-chan struct{}) {
	const blockNs = int64(time.Second) * testBlock / testRateHz
	out := make([]float32, 2*testBlock)
	ticker := time.NewTicker(time.Millisecond)
	defer ticker.Stop()
	for n := int64(0); ; {
		select {
		case <-stop:
			return
		case <-ticker.C:
		}
		for ; began+n*blockNs <= live.Now(); n++ {
			p.engine.Fill() // so that nothing is read late, however busy the machine is
			p.player.Render(out)
			p.keep(out)
		}
	}
}

func (p *played) keep(out []float32) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.sound = append(p.sound, out...)
}

// rendered is all that was rendered so far, interleaved stereo.
func (p *played) rendered() []float32 {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.sound
}

// serve does what the command's loop does.
func (p *played) serve(stop <-chan struct{}) {
	ticker := time.NewTicker(28 * time.Millisecond)
	tap := p.player.Tap()
	defer ticker.Stop()
	for {
		select {
		case <-stop:
			return
		case ask := <-p.Asks():
			p.answer(ask)
		case <-ticker.C:
			p.mu.Lock()
			db := p.outputDB
			p.mu.Unlock()
			p.Show(Look{Figures: p.player.Figures(), TruePeakDBTP: tap.TruePeakDBTP(), OutputDB: db,
				Latch: p.player.Latch.On()})
		}
	}
}

func (p *played) answer(ask Ask) {
	switch ask.Kind {
	case AskLatch:
		p.player.Latch.Set(ask.On)
	case AskSilence:
		p.hand.Push(live.Now(), engine.KindControl, engine.ControlSoundOff, 0)
	case AskStrike:
		p.engine.StrikeAgain()
	case AskSound:
		p.mu.Lock()
		p.asked = ask.Stereo
		p.mu.Unlock()
		p.player.PlayDry(ask.Stereo)
	case AskMark:
		p.mu.Lock()
		p.marked = append(p.marked, ask.Text)
		p.mu.Unlock()
		p.Tell("marks", []map[string]any{{"mark": 1, "keys": "C4", "remark": ask.Text}})
	case AskLevel:
		p.mu.Lock()
		p.outputDB = ask.DB
		p.mu.Unlock()
		p.player.SetLevel(ask.DB)
	}
}

// held lists the keys that sound by hand or pedal now.
func (p *played) held() (keys []int) {
	var s engine.Snapshot
	p.engine.Snapshot(&s)
	words := s.Held()
	for key := range 128 {
		if words[key/64]>>(key%64)&1 == 1 {
			keys = append(keys, key)
		}
	}
	return keys
}

// await waits until something is so, which it comes to be by itself.
func await(t testing.TB, what string, is func() bool) {
	t.Helper()
	for began := time.Now(); !is(); time.Sleep(2 * time.Millisecond) {
		if time.Since(began) > 20*time.Second {
			t.Fatalf("still not: %s", what)
		}
	}
}
