package recipe

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"actinic/process/fault"
)

// Price is what an amount of something costs.
type Price struct {
	Item   string
	Price  float64
	Amount float64 // in Unit
	Unit   string  // "g", "ml" or "print"
	Line   int     // of the file
}

// PerUnit returns the price of one gram, millilitre or print.
func (p Price) PerUnit() float64 { return p.Price / p.Amount }

// PriceList is a file of prices, all in one currency, which is the user's word.
type PriceList struct {
	File     string
	Currency string // "" where the file has none
	Prices   []Price
}

// Bounds of a price file.
const (
	mostPriceBytes = 1 << 20
	mostPrices     = 5000
	mostPrice      = 1e9
)

const priceHint = "the columns are item,price,amount,unit and, if you like, currency; a line reads: silver nitrate,95.00,100,g,EUR"

// priceUnits are the units a price may have, in those that costs count.
var priceUnits = map[string]struct {
	unit   string
	factor float64
}{
	"mg": {"g", 0.001}, "g": {"g", 1}, "kg": {"g", 1000},
	"ml": {"ml", 1}, "l": {"ml", 1000}, "litre": {"ml", 1000},
	"print": {"print", 1}, "prints": {"print", 1},
}

// ReadPrices reads a price list: CSV with a header row of the columns item,
// price, amount, unit (g, kg, mg, ml, l or print) and optionally currency, in
// any order; lines that begin with # are comments. An item is the name of a
// stock solution, of a chemical (its id or name), or, priced by the print,
// whatever the user calls it. name is the file's, for messages. Errors are
// *fault.Error with the line.
func ReadPrices(r io.Reader, name string) (PriceList, error) {
	text, err := io.ReadAll(io.LimitReader(r, mostPriceBytes+1))
	if err != nil {
		return PriceList{}, fault.Wrap(err, name, "", "", "")
	}
	if len(text) > mostPriceBytes {
		return PriceList{}, fault.New(name, "", "is over 1 MiB, too long for a price list", priceHint)
	}
	p := &priceReader{list: PriceList{File: name}}
	p.csv = csv.NewReader(bufio.NewReader(bytes.NewReader(bytes.TrimPrefix(text, []byte("\xef\xbb\xbf")))))
	p.csv.Comment, p.csv.TrimLeadingSpace, p.csv.FieldsPerRecord = '#', true, -1
	if err := p.header(); err != nil {
		return PriceList{}, err
	}
	return p.list, p.rows()
}

// priceReader reads one file of prices.
type priceReader struct {
	csv     *csv.Reader
	list    PriceList
	columns []string
}

func (p *priceReader) fail(where, what string) error {
	return fault.New(p.list.File, where, what, priceHint)
}

// next returns the next row and its line; io.EOF ends them.
func (p *priceReader) next() ([]string, int, error) {
	row, err := p.csv.Read()
	if err == io.EOF {
		return nil, 0, io.EOF
	}
	if wrong := (*csv.ParseError)(nil); errors.As(err, &wrong) {
		return nil, 0, p.fail(fmt.Sprintf("line %d", wrong.Line), "is not comma-separated: "+wrong.Err.Error())
	}
	if err != nil {
		return nil, 0, fault.Wrap(err, p.list.File, "", "", priceHint)
	}
	line, _ := p.csv.FieldPos(0)
	return row, line, nil
}

func (p *priceReader) header() error {
	row, line, err := p.next()
	if err == io.EOF {
		return p.fail("", "is empty")
	}
	if err != nil {
		return err
	}
	where := fmt.Sprintf("line %d", line)
	known := []string{"item", "price", "amount", "unit", "currency"}
	for _, field := range row {
		column := strings.ToLower(strings.TrimSpace(field))
		if !slices.Contains(known, column) {
			return p.fail(where, "column "+quote(column)+" is not known")
		}
		if slices.Contains(p.columns, column) {
			return p.fail(where, "column "+column+" stands twice")
		}
		p.columns = append(p.columns, column)
	}
	for _, column := range known[:4] {
		if !slices.Contains(p.columns, column) {
			return p.fail(where, "column "+column+" is missing")
		}
	}
	return nil
}

func (p *priceReader) rows() error {
	seen := map[string]int{}
	for {
		row, line, err := p.next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return err
		}
		price, err := p.price(row, line)
		if err != nil {
			return err
		}
		if first, twice := seen[plain(price.Item)]; twice {
			return p.fail(fmt.Sprintf("line %d", line), fmt.Sprintf("%s has a price in line %d already", quote(price.Item), first))
		}
		if seen[plain(price.Item)] = line; len(seen) > mostPrices {
			return p.fail(fmt.Sprintf("line %d", line), fmt.Sprintf("more than %d prices", mostPrices))
		}
		p.list.Prices = append(p.list.Prices, price)
	}
	if len(p.list.Prices) == 0 {
		return p.fail("", "holds no price")
	}
	return nil
}

// price reads one row.
func (p *priceReader) price(row []string, line int) (Price, error) {
	where := fmt.Sprintf("line %d", line)
	if len(row) != len(p.columns) {
		return Price{}, p.fail(where, fmt.Sprintf("%d fields, expected %d as in the header", len(row), len(p.columns)))
	}
	field := map[string]string{}
	for i, column := range p.columns {
		field[column] = strings.TrimSpace(row[i])
	}
	price := Price{Item: field["item"], Line: line}
	if plain(price.Item) == "" {
		return price, p.fail(where+", column item", "is empty")
	}
	var err error
	if price.Price, err = p.number(where, "price", field["price"], 0); err != nil {
		return price, err
	}
	if price.Amount, err = p.number(where, "amount", field["amount"], 1e-6); err != nil {
		return price, err
	}
	unit, ok := priceUnits[strings.ToLower(field["unit"])]
	if !ok {
		return price, p.fail(where+", column unit", fmt.Sprintf("found %s, expected g, kg, mg, ml, l or print", quote(field["unit"])))
	}
	price.Unit, price.Amount = unit.unit, price.Amount*unit.factor
	return price, p.currency(where, field["currency"])
}

func (p *priceReader) number(where, column, text string, least float64) (float64, error) {
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || !(x >= least && x <= mostPrice) {
		return 0, p.fail(where+", column "+column, fmt.Sprintf("found %s, expected a number from %g up, with a point for the decimals", quote(text), least))
	}
	return x, nil
}

// currency takes the currency of a row, which must be that of the others.
func (p *priceReader) currency(where, word string) error {
	switch {
	case strings.ContainsFunc(word, unicode.IsControl) || len([]rune(word)) > 12:
		return p.fail(where+", column currency", quote(word)+" is no short word, as EUR")
	case word == "" || word == p.list.Currency:
		return nil
	case p.list.Currency != "":
		return p.fail(where+", column currency", fmt.Sprintf("found %s, the lines before are in %s", quote(word), quote(p.list.Currency)))
	}
	p.list.Currency = word
	return nil
}
