// The page for a ticket that this device does not know reads the code from its own address.
const code = decodeURIComponent(location.pathname.split("/").pop()).toUpperCase();
document.querySelector("[data-bay]").dataset.code = code;
document.querySelector("[data-bay]").dataset.number = code;
document.querySelector("[data-code-read]").textContent = code;
for (const field of document.querySelectorAll("[name=ticket]")) field.value = code;
