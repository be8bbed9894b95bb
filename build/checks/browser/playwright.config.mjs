// Tests in Chromium, Firefox and WebKitGTK as Debian ships them:
//
//   cd build/checks && npm ci --ignore-scripts && npm run browser -- [FILE...] [-g TITLE]
//
// PLAINLEAF_WASM names a built browser program to test; without it one is built.
// The trace of a failed test is kept: npx playwright show-trace FILE.
import { defineConfig } from '@playwright/test';
import { out } from './site.mjs';

// Everything that is started from here takes this over.
process.env.TZ = 'UTC';

export default defineConfig({
  testDir: '.',
  testMatch: '*.spec.mjs',
  outputDir: `${out}/results`,
  globalSetup: './build.mjs',
  workers: 1, // browsers starve each other
  fullyParallel: false,
  forbidOnly: !!process.env.CI,
  retries: 0,
  timeout: 120_000,
  expect: { timeout: 30_000 },
  reporter: [['list']],
  use: { trace: 'retain-on-failure', actionTimeout: 30_000, navigationTimeout: 60_000 },
});
