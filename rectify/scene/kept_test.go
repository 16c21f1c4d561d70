package scene

import (
	"crypto/sha256"
	"fmt"
	"runtime"
	"testing"
)

// Scenes that tests and reports name by their seed must stay what they are,
// to the bit.
func TestKnownScenesKeepTheirPixels(t *testing.T) {
	if runtime.GOARCH != "amd64" {
		t.Skip("other processors fuse multiplications and additions: the last bits differ")
	}
	encoded := plainScene()
	encoded.Sensor.EncodedLight = true
	for _, k := range []struct {
		spec Spec
		want string
	}{
		{smallScene(4), "05d40d710843f6bc62485f6ab5dd67c9da6fc8c4f14bb5d438a22672fbbadeb3"},
		{Demo().Resized(0.5), "6fde87fb503976a648b6ecca8f2eef588e6232192e8b61664f8634bcc0adb039"},
		{plainScene(), "b32d93e51633bf656e8f1b17c0eb568c52f5169caaa72e2beea9d6178a6d068e"},
		{encoded, "265641138c6d0a79835e425b4449add05054e60de4cddc188f78045f5bd3cea6"},
	} {
		rgb, _ := mustRender(t, k.spec, defaultStripRows)
		if got := fmt.Sprintf("%x", sha256.Sum256(rgb)); got != k.want {
			t.Errorf("%s (seed %d) is drawn differently: %s", k.spec.Name, k.spec.Seed, got)
		}
	}
}
