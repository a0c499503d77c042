// What export does to keep a budget.

package main

import (
	"errors"

	"lapstrake/mapping/export"
)

// budgeted are the variants that the parts of an export are made of.
type budgeted struct {
	bank, page, sets variantCycles
}

// fit finds the variants that keep the budget, 0: none is set, and gives them to the job. usedSec is how much of the
// beds the parts use; 0: as much as the map does.
func (b *budgeted) fit(job *export.Job, cycles *openCycles, budgetBytes int64) (usedSec float64, err error) {
	usedSec = cycles.m.BedSec
	if budgetBytes == 0 {
		return usedSec, nil
	}
	var sets export.Variant
	rows := []struct {
		parts    []string
		cycles   *variantCycles
		fit      func(int64, export.OpenCycles) (export.Variant, error)
		variant  *export.Variant
		isOfSets bool
	}{
		{parts: []string{export.Bank, export.RMID}, cycles: &b.bank, fit: job.FitBank, variant: &job.Variant},
		{parts: []string{export.Page}, cycles: &b.page, fit: job.FitPage, variant: &job.Page},
		{parts: export.SetParts(), cycles: &b.sets, fit: job.FitSets, variant: &sets},
	}
	longestSec, whole := 0.0, job.Parts.Has(export.Tried) // the proof plays all that the map uses
	for _, row := range rows {
		if !job.Parts.HasAny(row.parts...) {
			continue
		}
		row.cycles.openCycles = cycles
		if *row.variant, err = row.fit(budgetBytes, row.cycles.open); errors.Is(err, export.ErrBudget) {
			return 0, wrongWords("--budget: %w", err)
		} else if err != nil {
			return 0, err
		}
		longestSec = max(longestSec, row.cycles.bedsSec)
		whole = whole || row.cycles.bedsSec == 0
	}
	if sets.Cycles != nil {
		job.MakeSets(sets)
	}
	if whole {
		return usedSec, nil
	}
	return longestSec, nil
}

func (b *budgeted) close() {
	for _, cycles := range []*variantCycles{&b.bank, &b.page, &b.sets} {
		cycles.close()
	}
}
