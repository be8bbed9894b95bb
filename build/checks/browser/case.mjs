// A case as a person enters it: into a field of several lines, a list and the chart.
import { start } from './test.mjs';

export const written = (page) => page.wait(`plainleafKeep.flush().then((a) => a === '{"ok":true}')`);

export async function enterCase(page, url, support, wish) {
  await start(page, `${url}/en/`);
  await page.click('#quick-front6');
  await page.wait(`document.querySelectorAll('.tooth[aria-checked="true"]').length === 6`);
  await page.evaluate(`(() => {
    const age = document.getElementById("age");
    age.value = "adult";
    age.dispatchEvent(new Event("change"));
  })()`);
  await page.wait('document.getElementById("support")');
  await page.fill('#support', support);
  if (wish) {
    await page.evaluate('document.querySelectorAll("details").forEach((d) => { d.open = true; })');
    await page.wait('document.getElementById("wish-own")');
    await page.fill('#wish-own', wish);
  }
  await written(page);
}
