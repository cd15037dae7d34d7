package typeface

import (
	"bytes"
	"embed"
	"sync"
	"unicode"

	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"github.com/go-text/typesetting/font"
	"github.com/klauspost/compress/zstd"
)

//go:embed fonts/*.zst
var packed embed.FS

// fontID is a font's place in fonts.
type fontID int

// The fonts that are asked for letters of any script, and first of all.
const (
	plainFont  fontID = iota // text on the page without outlines
	widerFont                // more of Latin, and marks at their places
	scriptFont               // the first of those for one script
)

// fontFile is a font and the scripts that it is for; none for the general ones.
type fontFile struct {
	name    string
	scripts []*unicode.RangeTable
}

// fonts are all there are. The last one is asked last.
var fonts = []fontFile{
	plainFont: {name: ""}, // of a module: see loadFont
	widerFont: {name: "NotoSans-Regular"},
	{"NotoSansArabic-Regular", []*unicode.RangeTable{unicode.Arabic}},
	{"NotoSansHebrew-Regular", []*unicode.RangeTable{unicode.Hebrew}},
	{"NotoSansDevanagari-Regular", []*unicode.RangeTable{unicode.Devanagari}},
	{"NotoSansBengali-Regular", []*unicode.RangeTable{unicode.Bengali}},
	{"NotoSansTamil-Regular", []*unicode.RangeTable{unicode.Tamil}},
	{"NotoSansTelugu-Regular", []*unicode.RangeTable{unicode.Telugu}},
	{"NotoSansKannada-Regular", []*unicode.RangeTable{unicode.Kannada}},
	{"NotoSansMalayalam-Regular", []*unicode.RangeTable{unicode.Malayalam}},
	{"NotoSansGujarati-Regular", []*unicode.RangeTable{unicode.Gujarati}},
	{"NotoSansGurmukhi-Regular", []*unicode.RangeTable{unicode.Gurmukhi}},
	{"NotoSansOriya-Regular", []*unicode.RangeTable{unicode.Oriya}},
	{"NotoSansSinhala-Regular", []*unicode.RangeTable{unicode.Sinhala}},
	{"NotoSansThai-Regular", []*unicode.RangeTable{unicode.Thai}},
	{"NotoSansLao-Regular", []*unicode.RangeTable{unicode.Lao}},
	{"NotoSansKhmer-Regular", []*unicode.RangeTable{unicode.Khmer}},
	{"NotoSansMyanmar-Regular", []*unicode.RangeTable{unicode.Myanmar}},
	{"NotoSerifTibetan-Regular", []*unicode.RangeTable{unicode.Tibetan}},
	{"NotoSansMongolian-Regular", []*unicode.RangeTable{unicode.Mongolian}},
	{"NotoSansGeorgian-Regular", []*unicode.RangeTable{unicode.Georgian}},
	{"NotoSansArmenian-Regular", []*unicode.RangeTable{unicode.Armenian}},
	{"NotoSansEthiopic-Regular", []*unicode.RangeTable{unicode.Ethiopic}},
	{"NotoSansSyriac-Regular", []*unicode.RangeTable{unicode.Syriac}},
	{"NotoSansThaana-Regular", []*unicode.RangeTable{unicode.Thaana}},
	{"NotoSansTifinagh-Regular", []*unicode.RangeTable{unicode.Tifinagh}},
	{"NotoSansNKo-Regular", []*unicode.RangeTable{unicode.Nko}},
	{"NotoSansAdlam-Regular", []*unicode.RangeTable{unicode.Adlam}},
	{"NotoSansVai-Regular", []*unicode.RangeTable{unicode.Vai}},
	{"NotoSansCherokee-Regular", []*unicode.RangeTable{unicode.Cherokee}},
	{"NotoSansCanadianAboriginal-Regular", []*unicode.RangeTable{unicode.Canadian_Aboriginal}},
	{"NotoSansOlChiki-Regular", []*unicode.RangeTable{unicode.Ol_Chiki}},
	{"NotoSansMeeteiMayek-Regular", []*unicode.RangeTable{unicode.Meetei_Mayek}},
	{"NotoSansJavanese-Regular", []*unicode.RangeTable{unicode.Javanese}},
	{"NotoSansBalinese-Regular", []*unicode.RangeTable{unicode.Balinese}},
	{"NotoSansSundanese-Regular", []*unicode.RangeTable{unicode.Sundanese}},
	{"NotoSansLepcha-Regular", []*unicode.RangeTable{unicode.Lepcha}},
	{"NotoSansLimbu-Regular", []*unicode.RangeTable{unicode.Limbu}},
	{"NotoSansChakma-Regular", []*unicode.RangeTable{unicode.Chakma}},
	{"NotoSansCham-Regular", []*unicode.RangeTable{unicode.Cham}},
	{"NotoSansNewTaiLue-Regular", []*unicode.RangeTable{unicode.New_Tai_Lue}},
	{"NotoSansTaiLe-Regular", []*unicode.RangeTable{unicode.Tai_Le}},
	{"NotoSansTaiTham-Regular", []*unicode.RangeTable{unicode.Tai_Tham}},
	{"NotoSansTaiViet-Regular", []*unicode.RangeTable{unicode.Tai_Viet}},
	{"NotoSansYi-Regular", []*unicode.RangeTable{unicode.Yi}},
	{"NotoSansOsage-Regular", []*unicode.RangeTable{unicode.Osage}},
	{"NotoSansSaurashtra-Regular", []*unicode.RangeTable{unicode.Saurashtra}},
	{"NotoSansKayahLi-Regular", []*unicode.RangeTable{unicode.Kayah_Li}},
	{"NotoSansHanifiRohingya-Regular", []*unicode.RangeTable{unicode.Hanifi_Rohingya}},
	{"NotoSansLisu-Regular", []*unicode.RangeTable{unicode.Lisu}},
	{"NotoSansMiao-Regular", []*unicode.RangeTable{unicode.Miao}},
	{"NotoSansBuginese-Regular", []*unicode.RangeTable{unicode.Buginese}},
	{"NotoSansSylotiNagri-Regular", []*unicode.RangeTable{unicode.Syloti_Nagri}},
	{"NotoSansNewa-Regular", []*unicode.RangeTable{unicode.Newa}},
	{"NotoSansWancho-Regular", []*unicode.RangeTable{unicode.Wancho}},
	{"NotoSerifNyiakengPuachueHmong-Regular", []*unicode.RangeTable{unicode.Nyiakeng_Puachue_Hmong}},
	{"NotoSansBamum-Regular", []*unicode.RangeTable{unicode.Bamum}},
	{"NotoSansBatak-Regular", []*unicode.RangeTable{unicode.Batak}},
	{"NotoSansWarangCiti-Regular", []*unicode.RangeTable{unicode.Warang_Citi}},
	{"NanumBarunGothic", []*unicode.RangeTable{unicode.Hangul}},
	{"DroidSansFallbackFull", []*unicode.RangeTable{unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Bopomofo}},
}

// loaded are the fonts read so far. A parsed font is safe for concurrent use.
var loaded = func() []func() *font.Font {
	all := make([]func() *font.Font, len(fonts))
	for i, f := range fonts {
		all[i] = sync.OnceValue(func() *font.Font { return loadFont(f.name) })
	}
	return all
}()

// loadFont parses a font of the program. It panics when that is broken.
func loadFont(name string) *font.Font {
	f, err := font.ParseTTF(bytes.NewReader(fontData(name)))
	if err != nil {
		panic("typeface: the built-in font " + name + " does not parse: " + err.Error())
	}
	return f.Font
}

func fontData(name string) []byte {
	if name == "" {
		return liberationsansregular.TTF
	}
	return unpack(name)
}

func unpack(name string) []byte {
	raw, err := packed.ReadFile("fonts/" + name + ".ttf.zst")
	if err != nil {
		panic("typeface: " + err.Error())
	}
	d, err := zstd.NewReader(nil, zstd.WithDecoderConcurrency(1))
	if err != nil {
		panic("typeface: " + err.Error())
	}
	defer d.Close()
	data, err := d.DecodeAll(raw, nil)
	if err != nil {
		panic("typeface: the built-in font " + name + " does not unpack: " + err.Error())
	}
	return data
}
