"""Kernels behind Jupyter's own client, as the programs of this folder use them."""
import os
import subprocess


def install(program, work):
    """Registers the kernel in a folder, so that nothing of the user's is touched."""
    data = os.path.join(work, "data")
    subprocess.run([program, "install", "--dir", data], check=True, stdout=subprocess.DEVNULL)
    os.environ["JUPYTER_PATH"] = data
    os.environ["XDG_DATA_HOME"] = os.path.join(work, "home")


def answers(client, msg_id, timeout):
    """Yields kind and content of what a cell publishes, till the kernel is idle
    and its reply has come."""
    while True:
        m = client.get_iopub_msg(timeout=timeout)
        if m["parent_header"].get("msg_id") != msg_id:
            continue
        kind, content = m["msg_type"], m["content"]
        if kind == "status" and content["execution_state"] == "idle":
            break
        yield kind, content
    while client.get_shell_msg(timeout=timeout)["parent_header"].get("msg_id") != msg_id:
        pass
