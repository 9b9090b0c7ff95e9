// Puts JupyterLab together from its packages, as they come from npm: the plugins
// that its own list names, without the managers of extensions and players of
// media, and with the one that shows widgets. The result is build/.
const fs = require('fs');
const path = require('path');
const { Build } = require('@jupyterlab/builder');
const base = require('@jupyterlab/builder/lib/webpack.config.base');
const lab = require('@jupyterlab/core-meta/core.package.json').jupyterlab;

const LEFT_OUT = ['audio', 'video', 'pdf', 'extensionmanager', 'pluginmanager', 'hub'].map(n => `@jupyterlab/${n}-extension`);
const kept = list => Object.entries(list).filter(([name]) => !LEFT_OUT.includes(name)).map(([name, file]) => ({ name, file }));
const plugins = [...kept(lab.extensions), { name: '@jupyter-widgets/jupyterlab-manager', file: '' }];
const renderers = kept(lab.mimeExtensions);

const output = path.resolve(__dirname, 'build');
fs.mkdirSync(output, { recursive: true });
const names = [...new Set([...plugins, ...renderers].map(p => p.name))];
const themes = Build.ensureAssets({ packageNames: names, output });

const load = list => list.map(p => `require('${path.posix.join(p.name, p.file)}')`).join(',\n  ');
fs.writeFileSync(path.join(output, 'entry.js'), `
require('./style.js');
const plugins = [\n  ${load(plugins)}];
const renderers = [\n  ${load(renderers)}];
module.exports = { plugins, renderers };
`);

// One copy of each package that holds what all others share.
const alias = Object.fromEntries(lab.singletonPackages
  .map(name => [name, path.join(__dirname, 'node_modules', name)])
  .filter(([, folder]) => fs.existsSync(folder)));

module.exports = [
  {
    ...base,
    mode: 'production',
    entry: { main: path.join(__dirname, 'start.js') },
    output: { ...base.output, path: output, publicPath: '{{page_config.fullStaticUrl}}/', filename: '[name].js', clean: false },
    resolve: { ...base.resolve, alias, modules: [path.join(__dirname, 'node_modules'), 'node_modules'] },
    // Nobody waits for these pages to travel.
    optimization: { minimize: false },
    performance: { hints: false },
    stats: 'errors-only',
    bail: true,
  },
  ...themes.map(theme => ({ ...theme, stats: 'errors-only', optimization: { minimize: false } })),
];
