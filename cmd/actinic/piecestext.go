package main

import (
	"fmt"
	"io"
	"strings"

	"actinic/negative/batch"
	"actinic/negative/tone"
)

// piecesText lists the pieces of a film and says how to use them.
func piecesText(w io.Writer, p *batch.Pieces, film batch.PieceFilm) error {
	if err := filmText(w, film.Film); err != nil {
		return err
	}
	for _, piece := range film.Pieces {
		if _, err := fmt.Fprintf(w, "%3d  %s\n", piece.Number, pieceText(piece, len(p.Curves) > 1)); err != nil {
			return err
		}
	}
	if advice := piecesAdvice(p); advice != "" {
		_, err := fmt.Fprintln(w, advice)
		return err
	}
	return nil
}

// pieceText says what one piece shows, and where it lies on the print.
func pieceText(piece batch.Piece, several bool) string {
	text := fmt.Sprintf("%.1f x %.1f mm, %.1f mm from the left and %.1f mm from the top", piece.WidthMM, piece.HeightMM, piece.XMM, piece.YMM)
	if p := piece.Part; p != nil {
		text += ", part " + partText(tone.Part(*p))
	}
	if several {
		text += ", " + piece.Calibration
	}
	return text
}

// piecesAdvice tells the printmaker what to do with the film.
func piecesAdvice(p *batch.Pieces) string {
	var lines []string
	if p.Copies > 1 {
		first, second, last := "number 1", "number 2", "last number"
		if len(p.Curves) > 1 || len(p.Parts) > 1 {
			first, second, last = "the first of each row", "the second", "last of each row"
		}
		lines = append(lines, fmt.Sprintf("%d copies, for as many exposures: expose all the shortest time, cover %s with card and expose on,\n"+
			"cover %s too, and so on; the %s then has the longest time. Write the times down.", p.Copies, first, second, last))
	}
	if len(p.Curves) > 1 {
		lines = append(lines, "Each calibration has its name under its pieces. Expose those that you compare the same time, on one sheet of paper.")
	}
	if len(p.Parts) > 1 && p.Copies == 1 {
		lines = append(lines, "Expose all parts the same time: together they show the tones of the picture in several places.")
	}
	return strings.Join(lines, "\n")
}
