package recipe

import (
	"errors"
	"strings"
	"testing"

	"actinic/process/fault"
)

const inventedPrices = `# invented
item,price,amount,unit,currency
Palladium,300,100,ml,EUR
ferric oxalate,0.20,1,ml,EUR
paper,1.50,1,print,EUR
film,0.90,1,print,EUR
clear and wash,0.30,1,print,EUR
gold,1,1,g,EUR
`

func prices(t testing.TB, text string) PriceList {
	t.Helper()
	list, err := ReadPrices(strings.NewReader(text), "prices.csv")
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// TestCost is a worked example with invented prices: palladium 1.2 ml at 3.00 =
// 3.60, ferric 1.2 ml at 0.20 = 0.24, paper 1.50, film 0.90, clear and wash 0.30,
// together 6.54 for 8 x 10 in; with 30 % rejects 6.54/0.70 = 9.34 a good print.
func TestCost(t *testing.T) {
	p := plan8x10("palladium_dop") // 2.4 ml
	p.Prints = 12
	c := coated(t, p)
	if err := c.AddCost(prices(t, inventedPrices), 0.30); err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{0.24, 3.60, 1.50, 0.90, 0.30} {
		within(t, c.Cost.Lines[i].Item, c.Cost.Lines[i].PerPrint, want, 1e-9)
	}
	within(t, "a print", c.Cost.PerPrint, 6.54, 1e-9)
	within(t, "a good print", c.Cost.PerGoodPrint, 9.34, 0.005)
	within(t, "in all", c.Cost.InAll, 12*6.54, 1e-9)
	if c.Cost.Currency != "EUR" || len(c.Cost.NotPriced) != 0 || len(c.Cost.NotUsed) != 1 || c.Cost.NotUsed[0] != "gold" {
		t.Errorf("%+v", c.Cost)
	}
}

// TestCostByChemical counts grams where no solution is priced, under the name it
// is bought by, and says what it could not count.
func TestCostByChemical(t *testing.T) {
	c := coated(t, plan8x10("palladium_dop"))
	if err := c.AddCost(prices(t, "item,price,amount,unit\npalladium chloride,50,1,g\nnacl,2,1,kg\n"), 0); err != nil {
		t.Fatal(err)
	}
	grams := 1.2 * 0.095 // 1.2 ml of 9.5 %
	within(t, "palladium chloride", c.Cost.Lines[0].PerPrint, 50*grams, 1e-9)
	within(t, "salt", c.Cost.Lines[1].PerPrint, 1.2*0.083*0.002, 1e-9)
	if len(c.Cost.NotPriced) != 1 || c.Cost.NotPriced[0] != "Ferric oxalate" {
		t.Errorf("not priced: %q, want ferric oxalate", c.Cost.NotPriced)
	}
	err := c.AddCost(prices(t, "item,price,amount,unit\npalladium,50,1,g\n"), 0)
	var e *fault.Error
	if !errors.As(err, &e) || e.Where != "line 2" || !strings.Contains(e.What, "by its weight, expected a price by its volume") {
		t.Errorf("%v, want a fault of line 2", err)
	}
	for _, bad := range []float64{-0.1, 1} {
		if c.AddCost(prices(t, inventedPrices), bad) == nil {
			t.Errorf("%g of rejects were taken", bad)
		}
	}
}

func TestReadPricesRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"":                                                            "is empty",
		"item,price,amount,unit\n":                                    "holds no price",
		"item,price,amount\n":                                         "column unit is missing",
		"item,item,price,amount,unit":                                 "stands twice",
		"item,cost,amount,unit\n":                                     `column "cost" is not known`,
		"item,price,amount,unit\na,1\n":                               "line 2: 2 fields, expected 4",
		"item,price,amount,unit\n,1,1,g\n":                            "column item: is empty",
		"item,price,amount,unit\na,\"1,5\",1,g\n":                     "column price",
		"item,price,amount,unit\na,NaN,1,g\n":                         "column price",
		"item,price,amount,unit\na,-1,1,g\n":                          "column price",
		"item,price,amount,unit\na,1,0,g\n":                           "column amount",
		"item,price,amount,unit\na,1,1,oz\n":                          "expected g, kg, mg, ml, l or print",
		"item,price,amount,unit\na,1,1,g\nA,2,1,g\n":                  "has a price in line 2 already",
		"item,price,amount,unit\na,1,1,\"g\n":                         "is not comma-separated",
		"item,price,amount,unit,currency\na,1,1,g,EUR\nb,1,1,g,USD\n": "the lines before are in",
		strings.Repeat("x", mostPriceBytes+1):                         "over 1 MiB",
	} {
		_, err := ReadPrices(strings.NewReader(text), "prices.csv")
		var e *fault.Error
		if !errors.As(err, &e) || e.File != "prices.csv" || e.Hint == "" || !strings.Contains(err.Error(), want) {
			t.Errorf("%.60q: %v, want a fault of the file that says %q", text, err, want)
		}
	}
	if list := prices(t, "\xef\xbb\xbfUnit, Item ,AMOUNT,price\nKG,x,2,10\n"); list.Prices[0].PerUnit() != 0.005 {
		t.Errorf("%+v, want 0.005 a gram", list.Prices)
	}
}

func FuzzReadPrices(f *testing.F) {
	f.Add(inventedPrices)
	f.Add("item,price,amount,unit\n\"a\nb\",1e300,1,l\n")
	f.Add("\"")
	f.Fuzz(func(t *testing.T, text string) {
		list, err := ReadPrices(strings.NewReader(text), "prices.csv")
		var e *fault.Error
		if err != nil {
			if !errors.As(err, &e) || e.Hint == "" {
				t.Errorf("%v is no *fault.Error with a hint", err)
			}
			return
		}
		c := coated(t, plan8x10("kallitype"))
		if err := c.AddCost(list, 0.5); err != nil && !errors.As(err, &e) {
			t.Error(err)
		}
	})
}
