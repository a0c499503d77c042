//go:build !unix

package main

// lowerPriority is left to the system here.
func lowerPriority(int) {}
