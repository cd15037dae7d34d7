package calibration
import ("testing";"math")
func TestTmp(t *testing.T){
 inks:=map[string]func(float64)float64{
 "two":kinkedInk,
 "one": func(u float64)float64{return 1.3*u+1.9*math.Max(0,u-0.41)},
 "bench": func(u float64) float64 { return 1.1*u + 0.9*math.Max(0, u-0.4) - 0.5*math.Max(0, u-0.75) },
 "mild": func(u float64) float64 { return 1.6*u + 1.2*math.Max(0, u-0.43)},
 }
 for name,uv:=range inks{
  s:=darkroomScene(); s.uv=uv
  var fit,book []float64; h:=0.0
  for seed:=range uint64(40){
   e:=s.fit(t,seed)
   fit=append(fit,s.toneError(e)); book=append(book,s.textbookError(t,s.print(seed).Ramp)); h+=s.held(e)/40
  }
  t.Logf("%s fit %.3f book %.3f ratio %.2f held %.3f",name,median(fit),median(book),median(fit)/median(book),h)
 }
}
