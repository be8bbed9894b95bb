//go:build !js

package record

// The cost of a new key file: the second recommended choice of RFC 9106, section 4.
const newTime, newMemory, newThreads = 3, 64 << 10, 4
