// Where there is no assembly, the portable decoder does it all.

//go:build !amd64

package wav

func decodeVector([]float32, []byte, Encoding) int { return 0 }
