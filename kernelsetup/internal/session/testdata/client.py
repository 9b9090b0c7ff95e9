"""Talks to the kernel "trivial" through jupyter_client and checks the answers.

Usage: client.py PROGRAM. Needs jupyter_client and jupyter_kernel_test.
"""
import json
import os
import sys
import tempfile
import time
import unittest

data = tempfile.mkdtemp(prefix="a folder with spaces ")
spec = os.path.join(data, "kernels", "trivial")
os.makedirs(spec)
with open(os.path.join(spec, "kernel.json"), "w") as f:
    json.dump({"argv": [sys.argv.pop(1), "{connection_file}"], "display_name": "trivial",
               "language": "go", "interrupt_mode": "message"}, f)
os.environ["JUPYTER_PATH"] = data
os.environ["TRIVIAL_HISTORY"] = os.path.join(data, "history.jsonl")

import jupyter_kernel_test  # noqa: E402
import zmq  # noqa: E402
from jupyter_client.manager import start_new_kernel  # noqa: E402

# LIMIT is when something hangs, on however busy a machine; what a cell that
# sleeps for FOREVER does not delay is answered beside it.
LIMIT = 60
FOREVER = "sleep 10h"
jupyter_kernel_test.TIMEOUT = LIMIT


class Standard(jupyter_kernel_test.KernelTests):
    kernel_name = "trivial"
    language_name = "go"
    file_extension = ".go"
    code_hello_world = "print hello, world"
    code_stderr = "complain loudly"
    completion_samples = [{"text": "pr", "matches": {"print"}}]
    complete_code_samples = ["a"]
    incomplete_code_samples = ["a …"]
    invalid_code_samples = ["?"]
    code_generate_error = "fail here"
    code_execute_result = [{"code": c, "result": c} for c in ("a", "b", "abc", "abcd")]
    code_display_data = [{"code": "show *x*", "mime": "text/markdown"}]
    code_history_pattern = "ab?"
    supported_history_operations = ("tail", "range", "search")
    code_inspect_sample = "print"
    code_clear_output = "live"


class Session(unittest.TestCase):
    def setUp(self):
        self.km, self.kc = start_new_kernel(kernel_name="trivial", startup_timeout=LIMIT)

    def tearDown(self):
        self.kc.stop_channels()
        if self.km.has_kernel:
            self.km.shutdown_kernel()

    def until_idle(self, msg_id, timeout=LIMIT):
        got = []
        while True:
            m = self.kc.get_iopub_msg(timeout=timeout)
            if m["parent_header"].get("msg_id") != msg_id:
                continue
            got.append(m)
            if m["msg_type"] == "status" and m["content"]["execution_state"] == "idle":
                return got

    def until_begun(self, msg_id):
        while True:
            m = self.kc.get_iopub_msg(timeout=LIMIT)
            if m["parent_header"].get("msg_id") == msg_id and m["msg_type"] == "execute_input":
                return

    def reply(self, msg_id, timeout=LIMIT):
        while True:
            m = self.kc.get_shell_msg(timeout=timeout)
            if m["parent_header"].get("msg_id") == msg_id:
                return m["content"]

    def run_cell(self, code, **kw):
        msg_id = self.kc.execute(code, **kw)
        msgs = self.until_idle(msg_id)
        return self.reply(msg_id), msgs

    def types(self, msgs):
        return [m["msg_type"] for m in msgs]

    def test_order(self):
        r, msgs = self.run_cell("abc")
        self.assertEqual(r["status"], "ok")
        self.assertEqual(self.types(msgs), ["status", "execute_input", "execute_result", "status"])

    def test_many_lines(self):
        begun = time.time()
        _, msgs = self.run_cell("lines 100000")
        text = "".join(m["content"]["text"] for m in msgs if m["msg_type"] == "stream")
        self.assertEqual(text, "".join("%d\n" % i for i in range(100000)))
        self.assertLess(len(msgs), 100 + (time.time() - begun) / 0.025)  # text waits 25 ms for more

    def test_characters_stay_whole(self):
        line = "grüße, 温度 " * 200
        _, msgs = self.run_cell("print " + line)
        text = "".join(m["content"]["text"] for m in msgs if m["msg_type"] == "stream")
        self.assertEqual(text, line + "\n")

    def test_silent(self):
        before, _ = self.run_cell("a")
        r, msgs = self.run_cell("b", silent=True)
        self.assertEqual(self.types(msgs), ["status", "status"])
        self.assertEqual(r["execution_count"], before["execution_count"])
        after, _ = self.run_cell("c", store_history=False)
        self.assertEqual(after["execution_count"], before["execution_count"])

    def test_interrupt_aborts_queue(self):
        first = self.kc.execute(FOREVER)
        queued = [self.kc.execute("a%d" % i) for i in range(3)]
        self.until_begun(first)
        self.km.interrupt_kernel()
        self.until_idle(first)
        self.assertEqual(self.reply(first)["status"], "error")
        for q in queued:
            self.assertEqual(self.reply(q)["status"], "aborted")
        r, _ = self.run_cell("a")
        self.assertEqual(r["status"], "ok")

    def test_no_stop_on_error(self):
        ids = [self.kc.execute("fail x", stop_on_error=False), self.kc.execute("a")]
        self.assertEqual([self.reply(i)["status"] for i in ids], ["error", "ok"])

    def test_stdin(self):
        for name in ("bob", "grüß dich"):
            msg_id = self.kc.execute("ask your name? ", allow_stdin=True)
            m = self.kc.get_stdin_msg(timeout=LIMIT)
            self.assertEqual(m["msg_type"], "input_request")
            self.kc.input(name)
            msgs = self.until_idle(msg_id)
            result = [m["content"]["data"]["text/plain"] for m in msgs if m["msg_type"] == "execute_result"]
            self.assertEqual(result, ['"%s"' % name])
            self.assertEqual(self.reply(msg_id)["status"], "ok")

    def test_stdin_refused(self):
        r, _ = self.run_cell("ask your name? ", allow_stdin=False)
        self.assertEqual((r["status"], r["evalue"]), ("error", "EOF"))

    def test_stdin_interrupted(self):
        msg_id = self.kc.execute("ask first? ", allow_stdin=True)
        self.kc.get_stdin_msg(timeout=LIMIT)
        self.km.interrupt_kernel()
        self.assertEqual(self.reply(msg_id)["status"], "error")
        self.until_idle(msg_id)
        msg_id = self.kc.execute("ask second? ", allow_stdin=True)
        self.kc.get_stdin_msg(timeout=LIMIT)
        self.kc.input("two")
        self.assertEqual(self.reply(msg_id)["status"], "ok")

    def test_user_expressions(self):
        r, _ = self.run_cell("a", user_expressions={"x": "abc", "y": "fail no"})
        self.assertEqual(r["user_expressions"]["x"]["data"]["text/plain"], "abc")
        self.assertEqual(r["user_expressions"]["y"]["status"], "error")

    def test_cursor_counts_code_points(self):
        msg_id = self.kc.complete("pri°°°", cursor_pos=3)
        r = self.reply(msg_id)
        self.assertEqual((r["matches"], r["cursor_start"], r["cursor_end"]), (["print"], 0, 3))

    def test_control_beside_shell(self):
        self.until_begun(self.kc.execute(FOREVER))
        msg = self.kc.session.msg("kernel_info_request", {})
        self.kc.control_channel.send(msg)
        r = self.kc.get_control_msg(timeout=LIMIT)
        self.assertEqual(r["msg_type"], "kernel_info_reply")
        # The client's own is_beating wants an answer within a second.
        with zmq.Context.instance().socket(zmq.REQ) as s:
            s.linger = 0
            s.connect("tcp://%s:%d" % (self.kc.ip, self.kc.hb_port))
            s.send(b"ping")
            self.assertTrue(s.poll(1000 * LIMIT), "no heartbeat")
            self.assertEqual(s.recv(), b"ping")
        self.km.interrupt_kernel()

    def test_widget(self):
        _, msgs = self.run_cell("slider gap")
        opened = [m for m in msgs if m["msg_type"] == "comm_open"]
        self.assertEqual(len(opened), 3)  # the label, the slider, and its picture for a page loaded anew
        self.assertEqual(opened[1]["metadata"]["version"].split(".")[0], "2")
        shown = [m["content"] for m in msgs if m["msg_type"] == "display_data"]
        label_id, comm_id = [m["content"]["comm_id"] for m in opened[:2]]
        view = "application/vnd.jupyter.widget-view+json"
        self.assertEqual([shown[i]["data"][view]["model_id"] for i in (0, 1)], [label_id, comm_id])
        self.assertTrue(shown[2]["data"]["text/plain"].startswith("gap: 2 "))
        self.assertEqual(list(shown[3]["data"]), [view])
        self.assertEqual(shown[4]["data"]["text/plain"], "20")
        msg = self.kc.session.msg("comm_msg", {"comm_id": comm_id, "data": {
            "method": "update", "state": {"value": 7}, "buffer_paths": []}})
        self.kc.shell_channel.send(msg)
        msgs = self.until_idle(msg["header"]["msg_id"])
        updates = [m["content"] for m in msgs if m["msg_type"] == "update_display_data"]
        self.assertEqual([u["data"]["text/plain"].split(" (")[0] for u in updates], ["gap: 7", "70"])
        self.assertEqual([u["transient"] for u in updates], [shown[i]["transient"] for i in (2, 4)])
        info = self.kc.comm_info(target_name="jupyter.widget", reply=True)["content"]
        self.assertIn(comm_id, info["comms"])

    def test_unknown_comm_is_closed(self):
        msg = self.kc.session.msg("comm_open", {"comm_id": "c1", "target_name": "nobody", "data": {}})
        self.kc.shell_channel.send(msg)
        self.assertIn("comm_close", self.types(self.until_idle(msg["header"]["msg_id"])))

    def test_wrong_signature_is_refused(self):
        right = self.kc.session.key
        self.kc.session.key = b"wrong"
        self.kc.execute("print forged")
        self.kc.session.key = right
        _, msgs = self.run_cell("print true")
        text = "".join(m["content"]["text"] for m in msgs if m["msg_type"] == "stream")
        self.assertEqual(text, "true\n")

    def test_history_over_sessions(self):
        self.run_cell("remember-me")
        self.kc.stop_channels()
        self.km.shutdown_kernel()
        self.km, self.kc = start_new_kernel(kernel_name="trivial", startup_timeout=LIMIT)
        r = self.kc.history(hist_access_type="search", pattern="remember*", reply=True)["content"]
        self.assertEqual(r["history"][-1][2], "remember-me")
        self.assertLess(r["history"][-1][0], 1000)

    def test_first_cell_of_many_clients(self):
        for _ in range(5):
            kc = self.km.client()
            kc.start_channels()
            msg_id = kc.execute("a")
            while True:
                m = kc.get_iopub_msg(timeout=LIMIT)
                if m["parent_header"].get("msg_id") == msg_id and m["msg_type"] == "status":
                    break
            self.assertEqual(m["content"]["execution_state"], "busy")
            kc.stop_channels()

    def test_shutdown_while_busy(self):
        self.until_begun(self.kc.execute(FOREVER))
        self.km.shutdown_wait_time = LIMIT  # before the client ends it by force
        self.km.request_shutdown()
        self.km.provisioner.process.wait(LIMIT)

    def test_restart(self):
        self.run_cell("a")
        self.km.restart_kernel()
        self.kc.wait_for_ready(timeout=LIMIT)
        r, _ = self.run_cell("a")
        self.assertEqual(r["execution_count"], 1)


unittest.main()
