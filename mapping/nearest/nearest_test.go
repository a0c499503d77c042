package nearest

import "testing"

func TestWord(t *testing.T) {
	commands := []string{"demo", "intake", "build", "map", "play", "hold", "sweep", "export", "help"}
	for word, want := range map[string]string{
		"biuld": "build", "exprot": "export", "intaek": "intake", "hodl": "hold", "plya": "play", "buildd": "build",
		"paly": "play", "x": "", "fly": "", "concatenate": "", "": "", "mapp": "map",
	} {
		if found := Word(word, commands); found != want {
			t.Errorf("%q: found %q, want %q", word, found, want)
		}
	}
}

func TestClosest(t *testing.T) {
	words := []string{"", "fen-ferriby", "Hob Marrable", "hob/bell.wav"}
	for word, want := range map[string]string{"hob marable": "Hob Marrable", "FEN": "fen-ferriby",
		"bell.wav": "hob/bell.wav"} {
		if got := Closest(word, words); got != want {
			t.Errorf("the closest to %q is %q, want %q", word, got, want)
		}
	}
	if got := Closest("fen", []string{""}); got != "" {
		t.Errorf("among nothing: %q", got)
	}
}
