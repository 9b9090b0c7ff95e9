#!/usr/bin/env python3
"""Jupyter's own kernel test suite, on this kernel.

Debian: python3-jupyter-kernel-test. The suite's pager test is not run: this
kernel claims no pager.
"""
import os
import unittest

import jupyter_kernel_test

import kernelhome

# The suite takes the first message of a cell for its output, and no sign of life
# may come before it on a slow machine.
os.environ["BONNETBOOK_SIGN"] = "off"
kernelhome.setup()


class GoKernel(jupyter_kernel_test.KernelTests):
    kernel_name = "bonnetbook"
    language_name = "go"
    file_extension = ".go"
    code_hello_world = 'import "fmt"\nfmt.Println("hello, world")'
    code_stderr = 'import ("fmt"; "os")\nfmt.Fprintln(os.Stderr, "oops")'
    completion_samples = [
        {"text": 'import "fmt"\nfmt.Sprintl', "matches": {"Sprintln"}},
        {"text": "defe", "matches": {"defer"}},
    ]
    complete_code_samples = ["1", 'import "fmt"\nfmt.Println(1)', "func f() int {\n\treturn 1\n}\nf()"]
    incomplete_code_samples = ["for i := range 3 {", "f(1,", "x := 1 +", "s := `open"]
    invalid_code_samples = ["1 = = 2", "}", 's := "open']
    code_generate_error = 'panic("on purpose")'
    code_execute_result = [
        {"code": "1+1", "result": "2"},
        {"code": "6*7", "result": "42"},
        {"code": "41+1", "result": "42"},
        {"code": '"a" + "b"', "result": '"ab"'},
    ]
    code_display_data = [
        {"code": 'import "github.com/bonnetbook/bonnetbook/pkg/notebook"\nnotebook.Show(notebook.HTML("<b>x</b>"))',
         "mime": "text/html"},
        {"code": 'import "github.com/bonnetbook/bonnetbook/pkg/notebook"\nnotebook.Show(notebook.Markdown("*x*"))',
         "mime": "text/markdown"},
    ]
    code_history_pattern = "?1+1"
    supported_history_operations = ("tail", "range", "search")
    code_inspect_sample = 'import "fmt"\nfmt.Println'
    code_clear_output = 'import "github.com/bonnetbook/bonnetbook/pkg/notebook"\nnotebook.Clear(false)'

    @unittest.skip("no pager is claimed")
    def test_pager(self):
        pass


if __name__ == "__main__":
    unittest.main()
