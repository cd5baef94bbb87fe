export default { render({ model, el }) { el.textContent = model.get("label"); } };
