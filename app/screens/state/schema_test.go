package state

import (
	"reflect"
	"testing"

	"plainleaf/build/schema"
)

func TestTheDraftAgreesWithItsSchema(t *testing.T) {
	schema.Agree(t, "draft.json", reflect.TypeFor[keptDraft](), false)
}
