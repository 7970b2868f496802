// The rooms of the page, in the order of the rail. Another room adds a line here and a module beside.

export const VIEWS = [
  { name: "library", nav: "Recordings", home: "/", title: "Recordings", path: /^\/$/, load: () => import("./library.js") },
  { name: "take", under: "library", title: "Sheet", path: /^\/take\/(?<ident>[0-9a-f]{12})$/, load: () => import("./take.js") },
  { name: "homework", nav: "Homework", home: "/homework", title: "Homework", path: /^\/homework$/, load: () => import("./homework.js") },
  { name: "class", under: "homework", title: "Class", path: /^\/homework\/(?<ident>[0-9a-f]{12})$/, load: () => import("./homework_class.js") },
  { name: "student", under: "homework", title: "Student", path: /^\/homework\/(?<ident>[0-9a-f]{12})\/(?<student>[^/]+)(?:\/(?<bar>\d+))?$/, load: () => import("./homework_student.js") },
  { name: "neck", nav: "Neck", home: "/neck", title: "Neck", path: /^\/neck(?:\/(?<chord>.+))?$/, load: () => import("./neck.js") },
  { name: "practice", nav: "Practice", home: "/practice", title: "Practice", path: /^\/practice$/, load: () => import("./practice.js") },
];
