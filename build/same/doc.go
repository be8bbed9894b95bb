// Package same proves that the native program and the one for browsers compute
// the same plans, byte for byte.
package same
