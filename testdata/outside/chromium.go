package outside

import (
	"bufio"
	"encoding/json"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// WebPage is a page open in Chromium without a window (Debian package chromium),
// driven over a pipe by the Chrome DevTools Protocol. Names resolve to nothing, so
// that what a page asks of a network is told and not had.
type WebPage struct {
	tb      testing.TB
	to      *os.File
	from    *bufio.Reader
	session string
	id      int
	events  []message
}

// message is one message of the protocol, a call, an answer or an event.
type message struct {
	ID        int             `json:"id,omitempty"`
	Method    string          `json:"method,omitempty"`
	Params    json.RawMessage `json:"params,omitempty"`
	SessionID string          `json:"sessionId,omitempty"`
	Result    json.RawMessage `json:"result,omitempty"`
	Error     *struct {
		Message string `json:"message"`
	} `json:"error,omitempty"`
}

// OpenWebPage opens an HTML file. The browser ends with the test.
func OpenWebPage(tb testing.TB, file string) *WebPage {
	tb.Helper()
	p := startChromium(tb)
	var target struct{ TargetID, SessionID string }
	p.call("Target.createTarget", map[string]any{"url": "about:blank"}, &target)
	p.call("Target.attachToTarget", map[string]any{"targetId": target.TargetID, "flatten": true}, &target)
	p.session = target.SessionID
	for _, domain := range []string{"Page", "Runtime", "Log", "Network", "Accessibility", "Audits"} {
		p.call(domain+".enable", nil, nil)
	}
	path, err := filepath.Abs(file)
	if err != nil {
		tb.Fatal(err)
	}
	address := url.URL{Scheme: "file", Path: filepath.ToSlash(path)}
	p.call("Page.navigate", map[string]any{"url": address.String()}, nil)
	p.wait("Page.loadEventFired")
	return p
}

// startChromium starts the browser. It may run as root, which it refuses with its
// sandbox on; it opens nothing but our own files.
func startChromium(tb testing.TB) *WebPage {
	tb.Helper()
	program := Tool(tb, "chromium", "chromium")
	folder, err := os.MkdirTemp("", "chromium")
	if err != nil {
		tb.Fatal(err)
	}
	theirIn, to, err := os.Pipe()
	if err != nil {
		tb.Fatal(err)
	}
	from, theirOut, err := os.Pipe()
	if err != nil {
		tb.Fatal(err)
	}
	cmd := exec.Command(program, "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--disable-background-networking",
		"--disable-component-update", "--no-first-run", "--hide-scrollbars", "--force-color-profile=srgb",
		"--host-resolver-rules=MAP * ~NOTFOUND", "--user-data-dir="+folder, "--remote-debugging-pipe")
	cmd.ExtraFiles = []*os.File{theirIn, theirOut} // descriptors 3 and 4, as the option has it
	if err := cmd.Start(); err != nil {
		tb.Fatalf("chromium does not start: %v", err)
	}
	theirIn.Close()
	theirOut.Close()
	p := &WebPage{tb: tb, to: to, from: bufio.NewReaderSize(from, 1<<20)}
	tb.Cleanup(func() {
		p.session = ""
		p.send("Browser.close", nil)
		cmd.Wait()
		to.Close()
		from.Close()
		os.RemoveAll(folder)
	})
	return p
}

// send writes a call; messages end with a zero byte.
func (p *WebPage) send(method string, params any) {
	p.id++
	m := message{ID: p.id, Method: method, SessionID: p.session}
	if params != nil {
		m.Params, _ = json.Marshal(params)
	}
	text, _ := json.Marshal(m)
	p.to.Write(append(text, 0))
}

// call makes a call and takes its answer into result; events on the way are kept.
func (p *WebPage) call(method string, params, result any) {
	p.tb.Helper()
	p.send(method, params)
	for {
		m := p.next()
		if m.ID != p.id {
			continue
		}
		if m.Error != nil {
			p.tb.Fatalf("chromium: %s: %s", method, m.Error.Message)
		}
		if result != nil {
			if err := json.Unmarshal(m.Result, result); err != nil {
				p.tb.Fatalf("chromium: %s: %v", method, err)
			}
		}
		return
	}
}

// next reads one message, and keeps it if it is an event.
func (p *WebPage) next() message {
	p.tb.Helper()
	text, err := p.from.ReadBytes(0)
	if err != nil {
		p.tb.Fatalf("chromium ended: %v", err)
	}
	var m message
	if err := json.Unmarshal(text[:len(text)-1], &m); err != nil {
		p.tb.Fatalf("chromium said %q: %v", text, err)
	}
	if m.Method != "" {
		p.events = append(p.events, m)
	}
	return m
}

// wait reads until an event has come.
func (p *WebPage) wait(method string) {
	p.tb.Helper()
	for _, m := range p.events {
		if m.Method == method {
			return
		}
	}
	for p.next().Method != method {
	}
}

// Look gives the page a screen of a size in CSS pixels, and a scheme.
func (p *WebPage) Look(widthPX, heightPX int, dark bool) {
	p.tb.Helper()
	scheme := map[bool]string{true: "dark", false: "light"}[dark]
	p.call("Emulation.setDeviceMetricsOverride", map[string]any{"width": widthPX, "height": heightPX, "deviceScaleFactor": 1, "mobile": false}, nil)
	p.call("Emulation.setEmulatedMedia", map[string]any{"media": "", "features": []map[string]string{{"name": "prefers-color-scheme", "value": scheme}}}, nil)
}

// Evaluate takes the value of a JavaScript expression into result. It is the
// test's, not the page's: the page need not allow scripts.
func (p *WebPage) Evaluate(expression string, result any) {
	p.tb.Helper()
	var answer struct {
		Result struct {
			Value       json.RawMessage
			Description string
		}
		ExceptionDetails json.RawMessage
	}
	p.call("Runtime.evaluate", map[string]any{"expression": expression, "returnByValue": true}, &answer)
	if answer.ExceptionDetails != nil {
		p.tb.Fatalf("chromium: %s: %s", expression, answer.ExceptionDetails)
	}
	if result == nil {
		return
	}
	if err := json.Unmarshal(answer.Result.Value, result); err != nil {
		p.tb.Fatalf("chromium: %s gave %s: %v", expression, answer.Result.Value, err)
	}
}

// Call makes any call of the protocol about the page.
func (p *WebPage) Call(method string, params, result any) {
	p.tb.Helper()
	p.call(method, params, result)
}

// Screenshot returns the whole page, not only the screen, as PNG.
func (p *WebPage) Screenshot() []byte {
	p.tb.Helper()
	var answer struct{ Data []byte }
	p.call("Page.captureScreenshot", map[string]any{"format": "png", "captureBeyondViewport": true}, &answer)
	return answer.Data
}

// PDF returns the page as it prints on A4.
func (p *WebPage) PDF() []byte {
	p.tb.Helper()
	var answer struct{ Data []byte }
	p.call("Page.printToPDF", map[string]any{"paperWidth": 210 / 25.4, "paperHeight": 297 / 25.4, "preferCSSPageSize": true, "printBackground": true}, &answer)
	return answer.Data
}

// Press presses and releases a key, such as Tab or Enter.
func (p *WebPage) Press(key string) {
	p.tb.Helper()
	code := map[string]int{"Tab": 9, "Enter": 13}[key]
	for _, kind := range []string{"keyDown", "keyUp"} {
		params := map[string]any{"type": kind, "key": key, "code": key, "windowsVirtualKeyCode": code}
		if key == "Enter" && kind == "keyDown" {
			params["text"] = "\r"
		}
		p.call("Input.dispatchKeyEvent", params, nil)
	}
}

// Complaints are what the console, the log and the browser's own checks said of the
// page so far.
func (p *WebPage) Complaints() []string {
	var out []string
	for _, m := range p.events {
		switch m.Method {
		case "Runtime.consoleAPICalled", "Runtime.exceptionThrown", "Log.entryAdded", "Audits.issueAdded":
			out = append(out, m.Method+" "+string(m.Params))
		}
	}
	return out
}

// Requests are the addresses that the page asked for so far, its own first; data
// that the address itself holds is none.
func (p *WebPage) Requests() []string {
	var out []string
	for _, m := range p.events {
		var asked struct{ Request struct{ URL string } }
		if m.Method != "Network.requestWillBeSent" || json.Unmarshal(m.Params, &asked) != nil {
			continue
		}
		if !strings.HasPrefix(asked.Request.URL, "data:") {
			out = append(out, asked.Request.URL)
		}
	}
	return out
}
