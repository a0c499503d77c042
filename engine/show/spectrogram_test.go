// The bands of sounds that are known.

package show

import (
	"encoding/xml"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping/sound"
)

// A sine is strong in the band of its frequency, from its beginning to its end, at any rate and in any blocks; what is
// 60 dB below is told from silence.
func TestSpectrogramOfASine(t *testing.T) {
	for _, rateHz := range []int{16000, 44100, 48000, 96000} {
		for _, hz := range []float64{220, 997, 5000} {
			s := NewSpectrogram(rateHz)
			frames := make([]float32, 2*3*rateHz)
			for i := range 2 * rateHz { // one second of silence behind two
				frames[2*i] = float32(0.5 * math.Sin(2*math.Pi*hz*float64(i)/float64(rateHz)))
			}
			for from := 0; from < len(frames); from += 2 * 777 {
				s.Add(frames[from:min(from+2*777, len(frames))])
			}
			if len(s.columns) < 28 || len(s.columns) > 30 {
				t.Fatalf("%d columns of 3 s, want one each tenth of a second", len(s.columns))
			}
			want := int(bandsAnOctave * math.Log2(hz/lowestBandHz))
			for k, column := range s.columns[:18] {
				most := 0
				for band, power := range column {
					if power > column[most] {
						most = band
					}
				}
				if most < want-1 || most > want+1 {
					t.Fatalf("%d Hz rate, %.0f Hz, column %d: strongest in band %d, want %d", rateHz, hz, k, most,
						want)
				}
			}
			if last := s.columns[len(s.columns)-1]; sound.PowerDB(float64(last[want]+1e-20)) > -100 {
				t.Errorf("%d Hz rate, %.0f Hz: the silence is not silent", rateHz, hz)
			}
		}
	}
}

// An hour is kept in as many columns as a picture has room for, and each stands for as long.
func TestSpectrogramOfALongSound(t *testing.T) {
	const rateHz = 1000
	s := NewSpectrogram(rateHz)
	for range 3600 {
		s.Add(make([]float32, 2*rateHz))
	}
	count, sec := len(s.columns), float64(len(s.columns))*s.columnSec
	if count >= mostColumns || math.Abs(sec-3600) > 2*s.columnSec {
		t.Errorf("%d columns of %.1f s, want fewer than %d that last an hour", count, s.columnSec, mostColumns)
	}
}

// An SVG with bands is read by what knows SVG 2 alone: no name in it belongs to a namespace that it does not name.
func TestSpectrogramInSVG(t *testing.T) {
	const rateHz = 8000
	noise := make([]float32, 2*rateHz)
	for i := range noise {
		noise[i] = float32(math.Sin(float64(i * i)))
	}
	picture := &Picture{Title: "a second", Levels: NewLevels(rateHz), Bands: NewSpectrogram(rateHz)}
	picture.Levels.Add(noise)
	picture.Bands.Add(noise)
	var svg strings.Builder
	if err := WriteSVG(&svg, picture); err != nil {
		t.Fatal(err)
	}
	decoder, images := xml.NewDecoder(strings.NewReader(svg.String())), 0
	for {
		token, err := decoder.RawToken()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		element, _ := token.(xml.StartElement)
		if element.Name.Local == "image" {
			images++
			if !slices.Contains(element.Attr, xml.Attr{Name: xml.Name{Local: "preserveAspectRatio"}, Value: "none"}) {
				t.Error("the bands are not as wide as their axis")
			}
		}
		for _, attribute := range element.Attr {
			if attribute.Name.Space != "" {
				t.Errorf("%s has %s:%s", element.Name.Local, attribute.Name.Space, attribute.Name.Local)
			}
		}
	}
	if images != 1 {
		t.Errorf("%d images, want that of the bands", images)
	}
}
