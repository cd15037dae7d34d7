package main

const exportHelp = `Writes what a calibration holds in forms that other programs read. 'actinic
negative' is exact and needs none of this.

Which of the ICC profiles to use:

--link with --grey-icc is exact, for every ink colour and every process:
  1. Convert the picture to the profile of --grey-icc: relative colorimetric,
     black point compensation off, 16 bits and, where there is a choice,
     without precalculation. A grey picture that is coded in sRGB needs no
     conversion. For a coloured ink the profile has red, green and blue, all
     the same; a grey picture then has to be in RGB too.
  2. Apply the device link. The result is the film: do not invert it, do not
     convert it, give it no other profile.
--icc, for programs without device links and neutral inks only, is one grey
profile whose values are film ink: convert the picture to it with the settings
of step 1, then invert the values. It holds only without precalculation: with
it, light tones come out too dense, and pure white as full ink.

In both cases mirror the film, unless it goes into contact the other way
round; no profile can do that. Do not scale it, and print it with colour
management off, with the settings the chart was printed with.

--coding says how the grey is coded that link and table take: srgb, its tone
curve, or lstar, L* as it is.

--table is plain text: lines with '#' that say what it is, a line that names
the columns, then 4096 rows, 'input output' or 'input red green blue', each 0
(black) to 1 (white), blank between. Join rows with straight lines.

--csv is the curve itself: tone, ink, aim_lstar, tone_sd, print_sd and, with a
step tablet, uv_density.

--plot draws one figure: the curve, the print to expect, the UV density of the
ink or the characteristic curve, as --figure says.

At least one of these is needed, or --json; one may be '-', standard output.
With --json: {"calibration", "files", "curve", "path"}; curve and path, the
way through printer RGB, are those of the calibration.`

const exportExample = `  actinic export --calibration blue.calibration.json --link film.icc --grey-icc grey.icc
  actinic export --calibration blue.calibration.json --table film.txt --csv curve.csv
  actinic export --calibration blue.calibration.json --figure print --plot print.png`
