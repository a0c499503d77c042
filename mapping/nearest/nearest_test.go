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
