//go:build !unix

package live

const nonBlocking = 0
