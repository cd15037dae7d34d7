// Package packing makes the samples of pictures short, without loss: differences
// between neighbours, and then deflate (RFC 1951), for TIFF strips, PNG data and
// PDF images alike.
//
// Grain has no repeats: Huffman codes alone make it shortest and are ten times
// faster than a search for repeats. Charts and borders are all repeats. So each
// piece of a picture is packed the way that suits it, and a small sample of the
// piece decides. Nothing is packed twice.
//
// Equal pieces give equal bytes, whatever was packed before, on every processor:
// pieces may be packed by several goroutines, each with a Packer of its own, and
// joined in order. A piece that cannot be made shorter is stored and grows by a
// few bytes only.
//
// Start with New, Packer.AppendZlib for a stream of its own, and
// Packer.AppendRows with Sum for a stream of many pieces.
package packing
