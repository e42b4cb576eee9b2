/** Starts the checker and connects it to the editor. All that it says comes from the program. */

import * as vscode from 'vscode';
import {
  LanguageClient,
  type LanguageClientOptions,
  type ServerOptions,
} from 'vscode-languageclient/node';

const SECTION = 'curtilage';

let client: LanguageClient | undefined;
/** Starts and stops take their turns, so that two changes of a setting cannot start two programs. */
let turn: Promise<void> = Promise.resolve();

export async function activate(context: vscode.ExtensionContext): Promise<void> {
  context.subscriptions.push(
    vscode.commands.registerCommand('curtilage.restart', () => inTurn(restart)),
    vscode.workspace.onDidChangeConfiguration((change) => {
      const started = ['path', 'arguments'].some((name) =>
        change.affectsConfiguration(`${SECTION}.${name}`),
      );
      if (started) {
        void inTurn(restart);
      }
    }),
  );
  await inTurn(start);
}

export function deactivate(): Promise<void> {
  return inTurn(stop);
}

function inTurn(task: () => Promise<void>): Promise<void> {
  turn = turn.then(task, task);
  return turn;
}

async function restart(): Promise<void> {
  await stop();
  await start();
}

async function start(): Promise<void> {
  const settings = vscode.workspace.getConfiguration(SECTION);
  const command = settings.get<string>('path') || 'curtilage';
  const server: ServerOptions = { command, args: settings.get<string[]>('arguments') ?? ['serve'] };
  const options: LanguageClientOptions = {
    documentSelector: [
      { scheme: 'file', language: SECTION },
      { scheme: 'untitled', language: SECTION },
    ],
    synchronize: { configurationSection: SECTION },
    initializationOptions: vscode.workspace.getConfiguration(SECTION),
  };
  const starting = new LanguageClient(SECTION, 'Curtilage', server, options);
  try {
    await starting.start();
    client = starting;
  } catch (error) {
    client = undefined;
    void tellThatItDoesNotStart(command, error);
  }
}

async function stop(): Promise<void> {
  const running = client;
  client = undefined;
  try {
    await running?.stop();
  } catch {
    // It is gone already.
  }
}

async function tellThatItDoesNotStart(command: string, error: unknown): Promise<void> {
  const missing = String(error).includes('ENOENT');
  const why = missing ? 'it was not found' : String(error);
  const choice = await vscode.window.showErrorMessage(
    `Curtilage: "${command}" does not start: ${why}. Install it, or say where it is.`,
    'Open the setting',
  );
  if (choice !== undefined) {
    await vscode.commands.executeCommand('workbench.action.openSettings', 'curtilage.path');
  }
}
