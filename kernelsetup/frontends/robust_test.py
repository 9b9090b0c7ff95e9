#!/usr/bin/env python3
"""What must not bring the kernel down, and how fast it stops: through
jupyter_client, on the real kernel.

Debian: python3-jupyter-client.
"""
import queue
import time
import unittest

from jupyter_client.manager import start_new_kernel

import kernelhome

kernelhome.setup()

PRELUDE = 'import ("fmt"; "os"; "log"; "time"; "sync"; "runtime"; "bufio"; "errors"; "strings")\nkept := 42'


class Robust(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.km, cls.kc = start_new_kernel(kernel_name="bonnetbook")

    @classmethod
    def tearDownClass(cls):
        cls.kc.stop_channels()
        cls.km.shutdown_kernel()

    def collect(self, msg_id, timeout):
        got = []
        while True:
            m = self.kc.get_iopub_msg(timeout=timeout)
            if m["parent_header"].get("msg_id") != msg_id:
                continue
            got.append(m)
            if m["msg_type"] == "status" and m["content"]["execution_state"] == "idle":
                break
        while True:
            r = self.kc.get_shell_msg(timeout=timeout)
            if r["parent_header"].get("msg_id") == msg_id:
                return r["content"], got

    def cell(self, code, timeout=30):
        return self.collect(self.kc.execute(code), timeout)

    def setUp(self):
        r, _ = self.cell(PRELUDE)
        self.assertEqual(r["status"], "ok", r)

    def tearDown(self):
        r, msgs = self.cell("kept")
        self.assertEqual(r["status"], "ok", r)
        self.assertEqual([m["content"]["data"]["text/plain"] for m in msgs if m["msg_type"] == "execute_result"], ["42"])

    def test_goroutine_writes_below_its_cell(self):
        started = self.kc.execute('go func() { time.Sleep(400 * time.Millisecond); fmt.Println("later") }()')
        self.collect(started, 10)
        self.kc.complete("fm", 2)
        self.kc.is_complete("x")
        while True:
            m = self.kc.get_iopub_msg(timeout=10)
            if m["msg_type"] == "stream":
                break
        self.assertEqual(m["content"]["text"], "later\n")
        self.assertEqual(m["parent_header"]["msg_id"], started)

    def test_byte_order_mark(self):
        r, _ = self.cell("\ufeffmarked := 1")
        self.assertEqual(r["status"], "ok", r)

    FAILURES = {
        "panic": ('\n\npanic("boom")', "boom", 3),
        "index": ("x := []int{1}\ni := 5\nx[i]", "index out of range [5] with length 1", 3),
        "division": ("a, b := 1, 0\na / b", "divide by zero", 2),
        "nil map": ('var m map[string]int\nm["a"] = 1', "assignment to entry in nil map", 2),
        "nil pointer": ("var p *struct{ A int }\np.A", "nil pointer", 2),
        "closed channel": ("c := make(chan int)\nclose(c)\nclose(c)", "close of closed channel", 3),
        "conversion": ('var v any = "s"\nv.(int)', "interface conversion", 2),
        "huge make": ("n := 1 << 50\nmake([]byte, n)", "", 2),
        "exit": ("\nos.Exit(3)", "3", 2),
        "fatal": ('log.Fatal("no way")', "", 1),
        "goexit": ("runtime.Goexit()", "", 0),
        "recursion": ("func f(n int) int { return f(n+1) + 1 }\nf(0)", "", 0),
        "deadlock": ("c := make(chan int)\n<-c", "deadlock", 2),
        "goroutine": ('done := make(chan bool)\ngo func() { defer close(done); panic("in goroutine") }()\n<-done\n'
                      "time.Sleep(100 * time.Millisecond)", "in goroutine", 2),
        "last error": ('errors.New("sensor unplugged")', "sensor unplugged", 0),
        "syntax": ("x := := 1", "", 1),
        "type": ('var n int = "a"', "cannot use", 1),
        "undefined": ("\nkepd + 1", "undefined: kepd", 2),
    }

    def test_failures(self):
        for name, (code, message, line) in self.FAILURES.items():
            with self.subTest(failure=name):
                r, msgs = self.cell(code)
                text = "\n".join(r.get("traceback", []))
                if name == "goexit" and r["status"] == "ok":
                    continue
                self.assertEqual(r["status"], "error", name)
                self.assertEqual([m["msg_type"] for m in msgs].count("error"), 1)
                self.assertIn(message, text)
                if line:
                    self.assertIn("line %d" % line, text)
                r, _ = self.cell("kept")
                self.assertEqual(r["status"], "ok")

    ENDLESS = {
        "loop": "for {}",
        "counting": "for i := 0; ; i++ { kept = 42 + i*0 }",
        "receive": "c := make(chan int)\ngo func() { for { time.Sleep(time.Hour); c <- 1 } }()\n<-c",
        "sleep": "time.Sleep(time.Hour)",
        "lock": "var m sync.Mutex\nm.Lock()\ngo func() { time.Sleep(time.Hour); m.Unlock() }()\nm.Lock()",
        "compiled": "for strings.Count(strings.Repeat(\"ab\", 1<<22), \"ba\") > 0 {}",
        "printing": 'for { fmt.Println("x") }',
        "select": "select {\ncase <-time.After(time.Hour):\n}",
        "waitgroup": "var w sync.WaitGroup\nw.Add(1)\ngo func() { time.Sleep(time.Hour); w.Done() }()\nw.Wait()",
        "stdin": "bufio.NewReader(os.Stdin).ReadString('\\n')",
    }

    def test_interrupts(self):
        for name, code in self.ENDLESS.items():
            with self.subTest(endless=name):
                msg_id = self.kc.execute(code, allow_stdin=True)
                time.sleep(0.4)
                started = time.perf_counter()
                self.km.interrupt_kernel()
                r, _ = self.collect(msg_id, 10)
                took = time.perf_counter() - started
                self.assertEqual(r["status"], "error")
                self.assertLess(took, 1.0, name)
                print("interrupt of %-10s %4.0f ms" % (name, 1e3 * took))
                r, _ = self.cell("kept")
                self.assertEqual(r["status"], "ok")

    def ask(self, code, *lines):
        try:
            while True:
                self.kc.get_stdin_msg(timeout=0.1)  # the question of an interrupted cell
        except queue.Empty:
            pass
        msg_id = self.kc.execute(code, allow_stdin=True)
        for line in lines:
            self.assertEqual(self.kc.get_stdin_msg(timeout=10)["msg_type"], "input_request")
            self.kc.input(line)
        r, msgs = self.collect(msg_id, 10)
        self.assertEqual(r["status"], "ok", r)
        return [m["content"]["data"]["text/plain"] for m in msgs if m["msg_type"] == "execute_result"]

    def test_stdin(self):
        self.assertEqual(self.ask("var age int\nfmt.Scan(&age)\nage + 1", "41"), ["42"])
        self.assertEqual(self.ask("var a, b int\nfmt.Scanln(&a, &b)\na * b", "6 7"), ["42"])
        self.assertEqual(self.ask("s := bufio.NewScanner(os.Stdin)\ns.Scan()\nfirst := s.Text()\ns.Scan()\n"
                                  "first + s.Text()", "one ", "two"), ['"one two"'])

    def test_stdout_of_compiled_code(self):
        _, msgs = self.cell('log.SetFlags(0)\nlog.Print("logged")\nprintln("built in")\nos.Stdout.WriteString("raw\\n")')
        text = {n: "".join(m["content"]["text"] for m in msgs if m["msg_type"] == "stream" and m["content"]["name"] == n)
                for n in ("stdout", "stderr")}
        self.assertEqual(text["stdout"], "raw\n")
        self.assertEqual(sorted(text["stderr"].split("\n")), ["", "built in", "logged"])

    def test_multiple_values(self):
        _, msgs = self.cell("func two() (int, string) { return 1, \"b\" }\ntwo()")
        data = [m["content"]["data"]["text/plain"] for m in msgs if m["msg_type"] == "execute_result"]
        self.assertEqual(data, ['1\n"b"'])


if __name__ == "__main__":
    unittest.main()
