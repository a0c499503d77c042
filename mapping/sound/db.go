// Decibels of amplitudes and of powers, each way.

package sound

import "math"

// AmplitudeDB is the level of an amplitude in dB, full scale being 1; −Inf for 0.
func AmplitudeDB(amplitude float64) float64 { return 20 * math.Log10(amplitude) }

// DBToAmplitude is the amplitude of a level in dB: the inverse of AmplitudeDB.
func DBToAmplitude(levelDB float64) float64 { return math.Exp(levelDB * (math.Ln10 / 20)) }

// PowerDB is the level of a power in dB; −Inf for 0.
func PowerDB(power float64) float64 { return 10 * math.Log10(power) }

// DBToPower is the power of a level in dB: the inverse of PowerDB.
func DBToPower(levelDB float64) float64 { return math.Exp(levelDB * (math.Ln10 / 10)) }
