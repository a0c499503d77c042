// A-law and µ-law, the telephone's logarithmic samples of one byte (ITU-T G.711).

package wav

var aLawValues, muLawValues = lawTables()

// lawTables gives the value of every byte, full scale ±1. Both laws store a sign, an exponent of three
// bits and a mantissa of four. The value is the middle of the byte's interval (G.711, tables 1a, 2a,
// decoder output values y).
func lawTables() (aLaw, muLaw [256]float32) {
	for code := range 256 {
		// A-law: even bits inverted; the highest bit set for positive; 4096 is full scale.
		a := code ^ 0x55
		exponent, mantissa := a>>4&7, a&15
		value := 2*mantissa + 1
		if exponent > 0 {
			value = (value + 32) << (exponent - 1)
		}
		if a&0x80 == 0 {
			value = -value
		}
		aLaw[code] = float32(value) / 4096

		// µ-law: all bits inverted; the highest bit, then, set for negative; 8192 is full scale.
		u := ^code & 0xFF
		exponent, mantissa = u>>4&7, u&15
		value = (2*mantissa+33)<<exponent - 33
		if u&0x80 != 0 {
			value = -value
		}
		muLaw[code] = float32(value) / 8192
	}
	return aLaw, muLaw
}

func decodeTable(dst []float32, src []byte, values *[256]float32) {
	for i := range dst {
		dst[i] = values[src[i]]
	}
}
