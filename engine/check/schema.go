// The schema of what check prints as JSON.

package check

import _ "embed"

// Schema is a JSON Schema (2020-12) of a Report and of a Comparison as JSON.
//
//go:embed report.schema.json
var Schema []byte

// Layout says how a report is laid out as JSON.
type Layout struct {
	Schema  string `json:"$schema"`
	Version int    `json:"version"`
}

var layout = Layout{"report.schema.json", 1}
