package content

import "testing"

func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		Load()
	}
}
