/** Says a turn aloud with the browser's own voice, where there is one. */

export function speak(words: string): void {
  if (!("speechSynthesis" in window)) return;
  speechSynthesis.cancel();
  speechSynthesis.speak(new SpeechSynthesisUtterance(words));
}
