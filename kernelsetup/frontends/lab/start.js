// Starts JupyterLab in the page that server.py serves; window.lab is the
// application.
const { PageConfig } = require('@jupyterlab/coreutils');
__webpack_public_path__ = PageConfig.getOption('fullStaticUrl') + '/';

// These ask servers elsewhere.
const SILENT = ['@jupyterlab/apputils-extension:announcements'];

function start() {
  const { plugins, renderers } = require('./build/entry.js');
  const { JupyterLab } = require('@jupyterlab/application');
  const lab = new JupyterLab({ mimeExtensions: renderers });
  for (const m of plugins) {
    for (const plugin of [m.default ?? m].flat()) {
      if (!SILENT.includes(plugin.id)) lab.registerPlugin(plugin);
    }
  }
  window.lab = lab;
  return lab.start({ bubblingKeydown: true });
}

window.addEventListener('load', start);
