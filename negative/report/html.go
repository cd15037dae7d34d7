package report

import (
	"bytes"
	"crypto/sha256"
	_ "embed" // the page's style and template
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"strings"
	"unicode"
)

//go:embed page.css
var pageStyle string

//go:embed page.tmpl
var pageText string

// pageTemplate escapes everything that comes from outside by where it stands.
var pageTemplate = template.Must(template.New("page").Funcs(template.FuncMap{"typed": typed}).Parse(pageText))

// MostPageBytes is the most that a page may take.
const MostPageBytes = 600_000

// WritePage writes p as one HTML file that needs nothing else: no network, no
// further file, no script; it reads in light and dark, on paper and on a narrow
// screen. The same page gives the same bytes. It fails, and writes nothing, when
// the page has no title, a section has no heading, a figure or a table does not
// hold together, or the page is larger than MostPageBytes; and when w fails.
func WritePage(w io.Writer, p Page) error {
	v, err := newPageView(p)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := pageTemplate.Execute(&b, v); err != nil {
		return fmt.Errorf("report: %w", err)
	}
	if b.Len() > MostPageBytes {
		return fmt.Errorf("report: page %q takes %d bytes, at most %d expected", p.Title, b.Len(), MostPageBytes)
	}
	_, err = w.Write(b.Bytes())
	return err
}

// pageView is a page as the template takes it.
type pageView struct {
	Title      string
	Style      template.CSS
	StyleHash  template.HTMLAttr
	Lead, Next []string
	Contents   []link
	Sections   []sectionView
	Foot       []string
}

// link is a line of the contents.
type link struct{ ID, Name string }

// sectionView is a section as the template takes it.
type sectionView struct {
	ID, Heading string
	Text        []string
	Key         template.HTML   // of the figure
	Drawn       []template.HTML // the figure, for wide pages and for narrow ones
	Caption     string
	Grid        *tableView
	Warnings    []string
}

// fewestContents is how many sections make a table of contents worth its room.
const fewestContents = 4

func newPageView(p Page) (pageView, error) {
	v := pageView{Title: printable(p.Title), Style: template.CSS(pageStyle), StyleHash: template.HTMLAttr(styleHash()),
		Lead: printables(p.Lead), Next: printables(p.Next), Foot: printables(p.Foot)}
	if strings.TrimSpace(v.Title) == "" {
		return v, fmt.Errorf("report: a page without a title")
	}
	for i, s := range p.Sections {
		one, err := newSectionView(fmt.Sprintf("part-%d", i+1), s)
		if err != nil {
			return v, err
		}
		v.Sections = append(v.Sections, one)
		v.Contents = append(v.Contents, link{one.ID, one.Heading})
	}
	if len(v.Contents) < fewestContents {
		v.Contents = nil
	}
	return v, nil
}

func newSectionView(id string, s Section) (sectionView, error) {
	v := sectionView{ID: id, Heading: printable(s.Heading), Text: printables(s.Text), Caption: printable(s.Caption), Warnings: printables(s.Warnings)}
	if strings.TrimSpace(v.Heading) == "" {
		return v, fmt.Errorf("report: %s has no heading", id)
	}
	if s.Figure != nil {
		if err := s.Figure.check(); err != nil {
			return v, err
		}
		v.Key = figureKey(*s.Figure)
		for _, z := range []sheetSize{wideSheet, narrowSheet} {
			v.Drawn = append(v.Drawn, drawSVG(z, id, *s.Figure))
		}
	}
	if s.Table != nil {
		var err error
		if v.Grid, err = newTableView(id+"-table", *s.Table); err != nil {
			return v, err
		}
	}
	return v, nil
}

// styleHash is the name of the style in the page's security policy: no other
// style applies, whatever a name may hold (W3C, Content Security Policy 3,
// 2.3.1 hash sources).
func styleHash() string {
	sum := sha256.Sum256([]byte(pageStyle))
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}

// printable returns text without what HTML takes for no text: broken UTF-8 and
// control characters become the replacement character.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		if r == unicode.ReplacementChar || unicode.IsControl(r) && !unicode.IsSpace(r) {
			return unicode.ReplacementChar
		}
		return r
	}, text)
}

func printables(all []string) []string {
	var out []string
	for _, text := range all {
		if strings.TrimSpace(text) != "" {
			out = append(out, printable(text))
		}
	}
	return out
}

// command returns a command line for a page. Its flags stay whole where lines
// break: browsers break after a hyphen.
func command(text string) string {
	words := strings.Split(text, " ")
	for i, word := range words {
		words[i] = template.HTMLEscapeString(word)
		if strings.HasPrefix(word, "-") {
			words[i] = "<span>" + words[i] + "</span>"
		}
	}
	return strings.Join(words, " ")
}

// typed returns text for a page with what stands between backquotes set as
// something to type. A backquote without its fellow stays as it is.
func typed(text string) template.HTML {
	parts := strings.Split(text, "`")
	if len(parts)%2 == 0 {
		return template.HTML(template.HTMLEscapeString(text))
	}
	var b strings.Builder
	for i, part := range parts {
		if i%2 == 1 {
			b.WriteString("<code>" + command(part) + "</code>")
		} else {
			b.WriteString(template.HTMLEscapeString(part))
		}
	}
	return template.HTML(b.String())
}
