//go:build !unix

package midi

const nonBlocking = 0
