// Package takes keeps the take sheet, takes.csv: one row a take, first what the builder says of it, then what was
// measured on it.
//
// The way of a take: Intake lists the files of takes/ (findtakes.go), hashes them, and measures each content that the
// sheet does not know yet on all processors (intakemeasure.go, by takes/decode and takes/measure). It matches files
// and rows, though files are renamed and contents change (intakematch.go), suggests a layer and a strand
// (rowsuggest.go), and saves the sheet. A column is one entry of the table in columntable.go; sheetdialect.go reads
// what spreadsheets make of a CSV file.
//
// Contracts: takes are opened for reading only and never changed. Intake writes the measured columns alone and leaves
// the builder's columns, foreign columns and comments as they are, byte for byte. A measured row carries check digits:
// one that was edited is not believed and has to be measured again. A sheet with broken cells is an error that names
// each cell, and stays as it is.
package takes
