// What the frame stands on: the ground ring, the front mark from which everybody counts, and somebody for scale.
import { landing } from "./turning_shape.js";

const PERSON_MM = 1700;

function ring(context, camera, shape, points) {
  context.beginPath();
  for (const [index, [x, y]] of points.entries()) {
    const at = landing(camera, shape.centre[0] + x, shape.centre[1] + y, 0);
    context[index ? "lineTo" : "moveTo"](...at);
  }
  context.closePath();
}

/** Where the front mark lies, level round the middle [mm]: tip and two corners. */
export function frontMark(shape) {
  const corner = (reach, side) => [-reach * Math.sin(side), -reach * Math.cos(side)];
  return [corner(1.05 * shape.ground, 0), corner(1.25 * shape.ground, 0.12), corner(1.25 * shape.ground, -0.12)];
}

/** Somebody 1.7 m tall beside the frame, on the side away from the front mark. */
function person(context, camera, shape, colours) {
  const [a, reach] = [Math.atan2(camera.forward[0], camera.forward[1]), shape.wide + 700];
  const side = a + (Math.sin(a) <= 0.3 ? -1.36 : 1.36);
  const [x, y] = [shape.centre[0] - reach * Math.sin(side), shape.centre[1] - reach * Math.cos(side)];
  const [feet, top] = [landing(camera, x, y, 0), landing(camera, x, y, PERSON_MM)];
  const size = Math.hypot(top[0] - feet[0], top[1] - feet[1]);
  context.fillStyle = colours.person;
  context.beginPath();
  context.arc(top[0], top[1] + size / 8, size / 8, 0, 2 * Math.PI);
  context.rect(top[0] - size / 9, top[1] + 0.28 * size, size / 4.5, 0.72 * size);
  context.fill();
}

/** All of it. */
export function ground(context, camera, shape, colours) {
  const turn = Math.PI / 22.5;
  const reach = 1.02 * shape.ground;
  const round = Array.from({ length: 45 }, (_, k) => [reach * Math.cos(k * turn), reach * Math.sin(k * turn)]);
  ring(context, camera, shape, round);
  context.strokeStyle = colours.ground;
  context.lineWidth = 1.5;
  context.stroke();
  ring(context, camera, shape, frontMark(shape));
  context.fillStyle = colours.ink;
  context.fill();
  person(context, camera, shape, colours);
}
