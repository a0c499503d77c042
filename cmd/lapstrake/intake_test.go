// The summary of an intake stays short however much there is to say.

package main

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/measure"
)

func TestIntakeSummaryIsShort(t *testing.T) {
	sum := &intakeSummary{Sheet: "takes.csv", Takes: 200, Used: 200, Hint: mapping.MiddleC3}
	for i := range 100 {
		sum.Findings = append(sum.Findings, takes.Finding{Take: fmt.Sprintf("anna/%d.wav", i), Row: i + 2, Flag: measure.Clipped, Advice: "overdriven"})
	}
	sum.Findings = append(sum.Findings, takes.Finding{Take: "bob/z.wav", Row: 190, Flag: measure.UnsurePitch, Advice: "listen"})
	var out, notices bytes.Buffer
	sum.print(streams{&out, &notices})
	for _, want := range []string{"row 2, anna/0.wav: clipped: overdriven\n", "and 97 more: clipped\n", "row 190, bob/z.wav: unsure pitch: listen\n"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("no %q in\n%s", want, &out)
		}
	}
	if lines := strings.Count(out.String(), "\n"); lines > 15 {
		t.Errorf("%d lines:\n%s", lines, &out)
	}
	if !strings.Contains(notices.String(), "middle C (key 60) as C3") {
		t.Errorf("the other naming is not told: %s", &notices)
	}
}
