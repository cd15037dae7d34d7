package recipe

import (
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"
)

// edited returns the embedded data with old replaced by new in one file.
func edited(t *testing.T, name, old, new string) fs.FS {
	t.Helper()
	copied := fstest.MapFS{}
	err := fs.WalkDir(embedded, "data", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := fs.ReadFile(embedded, path)
		copied[path] = &fstest.MapFile{Data: text}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	text := string(copied[name].Data)
	if !strings.Contains(text, old) {
		t.Fatalf("%s does not hold %q", name, old)
	}
	copied[name].Data = []byte(strings.Replace(text, old, new, 1))
	return copied
}

func TestLoadRefusesBadData(t *testing.T) {
	const gum, chemicals = "data/processes/gum.json", "data/chemicals.json"
	for _, tc := range []struct{ name, old, new, want string }{
		{gum, `"id": "gum"`, `"id": "glue"`, "named after its id"},
		{gum, `{`, `{{`, gum},
		{gum, `"polarity"`, `"polarty"`, "unknown field"},
		{gum, `"polarity": "negative"`, `"polarity": "sideways"`, "polarity"},
		{gum, `"light": "uv_lamp"`, `"light": "candle"`, "light"},
		{gum, `"low": 0.6`, `"low": 6`, "does not rise"},
		{gum, `"sources": ["memory_medium"]`, `"sources": []`, "no source"},
		{gum, `"sources": ["memory_medium"]`, `"sources": ["hearsay"]`, "hearsay"},
		{gum, `{"id": "k2cr2o7"`, `{"id": "k2cr2o8"`, "k2cr2o8"},
		{gum, `"pigment in gum"`, `""`, "empty"},
		{gum, `"gum bichromate"`, `"carbon print"`, "belongs to"},
		{chemicals, `"H302"`, `"H999"`, "H999"},
		{chemicals, `"GHS07"`, `"GHS77"`, "GHS77"},
		{chemicals, `"Warning"`, `"Careful"`, "Careful"},
		{"data/incompatibilities.json", `"level": "stop"`, `"level": "halt"`, "halt"},
		{"data/incompatibilities.json", `"hcl"`, `"hci"`, "hci"},
		{"data/contrast.json", `"palladium_dop"`, `"paladium"`, "paladium"},
		{"data/statements.json", `"un_ghs"`, `"nobody"`, "nobody"},
		{"data/sources.json", `"key": "ware_trad"`, `"key": "ware_new"`, "stands twice"},
		{"data/disposal.json", "}\n]", "}\n] []", "after the end"},
	} {
		_, err := load(edited(t, tc.name, tc.old, tc.new))
		if err == nil || !strings.Contains(err.Error(), tc.want) {
			t.Errorf("%s with %s: %v, want an error that names %q", tc.name, tc.new, err, tc.want)
		}
	}
	if _, err := load(fstest.MapFS{}); err == nil {
		t.Error("no data at all was taken")
	}
}

func TestMalformedDataPanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("malformed embedded data did not panic")
		}
	}()
	mustLoad(fstest.MapFS{})
}

// FuzzCard: whatever a card's file holds, it is refused or it renders.
func FuzzCard(f *testing.F) {
	text, err := fs.ReadFile(embedded, "data/processes/gum.json")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	f.Add([]byte(`{"id": "gum"}`))
	f.Add([]byte(`null`))
	f.Add([]byte(`{"id":"gum","steps":[{"text":"x","sources":[1]}]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		var c Card
		if decode("card.json", text, &c) != nil || data().validateCard(c) != nil {
			return
		}
		rendered(t, c, 80)
	})
}
