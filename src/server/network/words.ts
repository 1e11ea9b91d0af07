/**
 * The code in words: four of 256 short, plain words, drawn at random; no two words differ by one letter alone.
 * 8 bits a word, 32 bits a code. With 20 wrong guesses in the life of a code, the chance of a guesser is 20 in 2³²,
 * about 5 in a thousand million.
 */

import { randomInt } from "node:crypto";

const list = `
acorn actor adult agent album alley almond amber anchor angle apple apron arrow attic aunt autumn bacon badge bagel
baker bamboo bandage banjo barn barrel basil basket beard beaver bench berry bird biscuit blanket blossom boat bottle
bowl branch brass bread brick bridge broom brush bubble bucket butter button cabbage cabin cable cactus camel candle
candy canoe canyon carpet cattle cavern cedar cello cereal chair chalk cheese cherry chess chimney cinema circle
citrus clay clock cloud clover cobalt coffee comet compass copper coral corner cotton cradle crane crayon cricket
crown cube curtain daisy dancer desert dinner doctor dolphin door dragon drum duck dynamo eagle easel echo elbow
engine falcon farm feather fence fiddle field flag flower flute folder forest fork fossil fox galaxy garden garlic
giraffe glove gold grape gravel guitar hammer hammock harbour hazel hedge helmet honey hotel igloo insect island ivory
jacket jasmine jelly journal jungle kayak kettle kitchen kitten ladder lake lamp lantern laptop lemon lettuce lily
lion lizard lobster magnet magpie mango maple marble market meadow melon mirror monkey moon mother museum mustard
napkin nectar needle nickel noodle oasis ocean olive onion orange orchard otter oven oxygen oyster paddle palace panda
paper parrot peach pebble pencil pepper piano pigeon pillow pilot pirate planet poem pony potato pumpkin puzzle rabbit
radio river robin rocket sailor salmon sandal scarf school shadow shovel silver singer sofa spider spoon square stable
statue summer sunset swan teapot tiger timber tomato tower tractor trumpet tulip tunnel turtle velvet village violin
walnut water whale wheel whistle window winter wolf
`;

export const codeWords: readonly string[] = list.trim().split(/\s+/);
export const wordsInCode = 4;

/** A new code: "otter lamp clover winter". */
export const drawCode = (): string =>
  Array.from({ length: wordsInCode }, () => codeWords[randomInt(codeWords.length)]).join(" ");

/** A code as somebody typed it, in the form that is compared: lower case, single spaces. */
export const tidyCode = (typed: string): string =>
  typed
    .toLowerCase()
    .split(/[^a-z]+/)
    .filter((word) => word !== "")
    .join(" ");
